#include "analysis/statistics/budget.hpp"

#include <array>
#include <cmath>

#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/moments.hpp"
#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_rows;
using thumblight::test::to_digits;

namespace {

BudgetLine line(double u, double dof, double sensitivity = 1) {
  BudgetLine result;
  result.source = "source";
  result.standard_uncertainty = u;
  result.dof = dof;
  result.sensitivity = sensitivity;
  return result;
}

BudgetLine rectangular(double half_width, double dof, double sensitivity) {
  BudgetLine result =
      line(standard_uncertainty(Distribution::kRectangular, half_width), dof, sensitivity);
  result.distribution = Distribution::kRectangular;
  result.half_width = half_width;
  return result;
}

double correlation(const std::vector<double>& x, const std::vector<double>& y) {
  const double mean_x = *moments(x).mean();
  const double mean_y = *moments(y).mean();
  double products = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    products += (x[i] - mean_x) * (y[i] - mean_y);
  }
  return products / (static_cast<double>(x.size() - 1) * *moments(x).sd() * *moments(y).sd());
}

}  // namespace

TEST_CASE("JCGM 100:2008, G.4.1: three relative uncertainties") {
  // Printed from memory: u_c 1.03 %, 19.0 degrees of freedom, t 2.09, U 2.2 %; the rest computed.
  const auto budget = make_budget({line(0.25, 9), line(0.57, 4), line(0.82, 14)}, 1);
  CHECK(budget->combined == Approx(1.029466).margin(5e-7));
  CHECK(budget->effective_dof == Approx(18.99874).margin(5e-6));
  CHECK(truncated_dof(budget->effective_dof) == 19);
  CHECK(budget->coverage_factor == Approx(2.093024).margin(5e-7));
  CHECK(budget->expanded == Approx(2.2).margin(0.05));
}

TEST_CASE("JCGM 100:2008, H.1: end-gauge calibration") {
  const auto comparator = make_budget({line(5.8, 24), line(3.9, 5), line(6.7, 8)}, 1);
  CHECK(comparator->combined == Approx(9.68194).margin(5e-6));  // 9.7 printed (seen)
  CHECK(comparator->effective_dof ==
        Approx(25.4473).margin(5e-5));  // 25.6 printed, from 9.7 (seen)

  const double length_nm = 50'000'623;
  const auto budget = make_budget(
      {line(25, 18), line(comparator->combined, comparator->effective_dof),
       rectangular(1e-6, 50, -length_nm * -0.1), rectangular(0.05, 2, -length_nm * 11.5e-6),
       rectangular(2e-6, kInfiniteDof, 0), line(0.41, kInfiniteDof, 0)},
      1, 0.99);
  // Terms printed (seen): 25, 9.7, 2.9, 16.6, 0, 0.
  CHECK(budget->rows[2].contribution == Approx(2.9).margin(0.05));
  CHECK(budget->rows[3].contribution == Approx(16.6).margin(0.05));
  CHECK(budget->rows[4].contribution == 0);
  CHECK(budget->combined == Approx(31.66388).margin(5e-6));       // 32 nm printed (seen)
  CHECK(budget->effective_dof == Approx(16.75186).margin(5e-6));  // 16 after truncation (seen)
  CHECK(truncated_dof(budget->effective_dof) == 16);
  CHECK(budget->coverage_factor == to_digits(2.92078162, 8));
  // U is printed as 93 nm, from u_c rounded to 32.
  CHECK(std::round(budget->coverage_factor * std::round(budget->combined)) == 93);
}

TEST_CASE("JCGM 100:2008, H.2: correlated inputs") {
  std::vector<double> volts;
  std::vector<double> amperes;
  std::vector<double> phase;
  for (const auto& row : reference_rows("gum/gum_h2.csv")) {
    volts.push_back(std::stod(row[0]));
    amperes.push_back(std::stod(row[1]) / 1000);
    phase.push_back(std::stod(row[2]));
  }
  REQUIRE(volts.size() == 5);
  const double v = *moments(volts).mean();
  const double i = *moments(amperes).mean();
  const double phi = *moments(phase).mean();
  const auto budget_for = [&](const std::array<double, 3>& sensitivities, bool correlated) {
    const std::vector<BudgetLine> lines{
        line(*moments(volts).standard_error(), 4, sensitivities[0]),
        line(*moments(amperes).standard_error(), 4, sensitivities[1]),
        line(*moments(phase).standard_error(), 4, sensitivities[2])};
    const std::vector<LineCorrelation> correlations{{0, 1, correlation(volts, amperes)},
                                                    {0, 2, correlation(volts, phase)},
                                                    {1, 2, correlation(amperes, phase)}};
    return *make_budget(lines, 1, 0.95, correlated ? correlations : std::vector<LineCorrelation>{});
  };
  CHECK(correlation(volts, amperes) == Approx(-0.36).margin(0.005));  // printed (seen)
  CHECK(correlation(volts, phase) == Approx(0.86).margin(0.005));     // printed (seen)
  CHECK(correlation(amperes, phase) == Approx(-0.65).margin(0.005));  // printed (seen)
  const std::array<double, 3> resistance{std::cos(phi) / i, -v * std::cos(phi) / (i * i),
                                         -v * std::sin(phi) / i};
  const std::array<double, 3> reactance{std::sin(phi) / i, -v * std::sin(phi) / (i * i),
                                        v * std::cos(phi) / i};
  const std::array<double, 3> impedance{1 / i, -v / (i * i), 0};
  // Printed .071, .295, .236 (seen); more digits computed.
  CHECK(budget_for(resistance, true).combined == to_digits(0.0710714, 6));
  CHECK(budget_for(reactance, true).combined == to_digits(0.2955817, 6));
  CHECK(budget_for(impedance, true).combined == to_digits(0.2363361, 6));
  CHECK(budget_for(resistance, true).effective_dof == 4);
  CHECK(budget_for(resistance, false).combined == Approx(0.19454).margin(5e-6));
  CHECK(budget_for(reactance, false).combined == Approx(0.20091).margin(5e-6));
  CHECK(budget_for(impedance, false).combined == Approx(0.20408).margin(5e-6));
}

TEST_CASE("Standard uncertainties of the distributions") {
  CHECK(standard_uncertainty(Distribution::kRectangular, 1) == Approx(1 / std::sqrt(3.0)));
  CHECK(standard_uncertainty(Distribution::kTriangular, 1) == Approx(1 / std::sqrt(6.0)));
  CHECK(standard_uncertainty(Distribution::kArcsine, 0.5) == Approx(0.5 / std::sqrt(2.0)));
  // A trapezoid without a top is a triangle, one that is all top a rectangle.
  CHECK(standard_uncertainty(Distribution::kTrapezoid, 1, 0) == Approx(1 / std::sqrt(6.0)));
  CHECK(standard_uncertainty(Distribution::kTrapezoid, 1, 1) == Approx(1 / std::sqrt(3.0)));
  // Resolution: half-width of half a step, 0.29 of the step as F.2.2.1 prints it.
  CHECK(standard_uncertainty(Distribution::kRectangular, 0.5) == Approx(0.288675).margin(5e-7));
  CHECK(standard_uncertainty(Distribution::kNormal, 1.96) == Approx(1).epsilon(1e-4));
  CHECK(standard_uncertainty(Distribution::kStudentT, 12.706204736174705, 0, 1) == Approx(1));
  CHECK(dof_of_relative_uncertainty(0.25) == Approx(8));  // G.4.2: 25 % gives 8
  CHECK(dof_of_relative_uncertainty(0.10) == Approx(50));
}

TEST_CASE("Presses thin out what falls anew, and nothing else") {
  BudgetLine scatter = line(6, 24);
  scatter.evaluation = Evaluation::kTypeA;
  scatter.shrinks_with_n = true;
  const BudgetLine clock = rectangular(0.5, kInfiniteDof, -2);
  const auto one = make_budget({scatter, clock}, 1);
  const auto many = make_budget({scatter, clock}, 25);
  CHECK(one->type_a == 6);
  CHECK(many->type_a == Approx(6.0 / 5));
  CHECK(many->type_b == one->type_b);
  CHECK(many->type_b == Approx(1 / std::sqrt(3.0)));
  CHECK(many->lasting == many->type_b);
  const auto very_many = make_budget({scatter, clock}, 1'000'000'000);
  CHECK(very_many->combined == Approx(very_many->lasting).epsilon(1e-6));
  CHECK(very_many->coverage_factor == Approx(1.959964).margin(5e-7));
  CHECK(one->rows[0].variance_share + one->rows[1].variance_share == Approx(1));
}

TEST_CASE("Correlated parts cancel in a difference") {
  const auto budget = make_budget({line(3, 10, 1), line(3, 10, -1)}, 1, 0.95, {{0, 1, 1.0}});
  CHECK(budget->combined == 0);
  CHECK(budget->expanded == 0);
}

TEST_CASE("Degrees of freedom are cut down, and infinity stays") {
  CHECK(truncated_dof(16.75) == 16);
  CHECK(truncated_dof(18.94) == 18);
  CHECK(truncated_dof(1.0) == 1);
  CHECK(std::isinf(truncated_dof(kInfiniteDof)));
  CHECK(std::isinf(make_budget({line(1, kInfiniteDof)}, 3)->effective_dof));
  CHECK(make_budget({line(2, 1)}, 1)->coverage_factor == Approx(12.7062).margin(5e-5));
}

TEST_CASE("Budgets of nothing, and impossible lines") {
  CHECK_FALSE(make_budget({}, 5));
  CHECK(make_budget({line(0, 5)}, 5)->combined == 0);
  CHECK_THROWS_AS(make_budget({line(1, 5)}, 0), thumblight::Error);
  CHECK_THROWS_AS(make_budget({line(-1, 5)}, 1), thumblight::Error);
  CHECK_THROWS_AS(make_budget({line(1, 0.5)}, 1), thumblight::Error);
  CHECK_THROWS_AS(make_budget({line(1, 5, INFINITY)}, 1), thumblight::Error);
  CHECK_THROWS_AS(make_budget({line(1, 5), line(1, 5)}, 1, 0.95, {{0, 1, 1.5}}), thumblight::Error);
  CHECK_THROWS_AS(make_budget({line(1, 5)}, 1, 0.95, {{0, 1, 0.5}}), thumblight::Error);
  CHECK_THROWS_AS(standard_uncertainty(Distribution::kTrapezoid, 1, 1.5), thumblight::Error);
  CHECK_THROWS_AS(standard_uncertainty(Distribution::kRectangular, -1), thumblight::Error);
}
