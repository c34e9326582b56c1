#include "analysis/statistics/least_squares.hpp"

#include <cmath>

#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;
using thumblight::test::reference_numbers;
using thumblight::test::reference_rows;
using thumblight::test::to_digits;

namespace {

Column ones(std::size_t n) {
  return {"base", std::vector<double>(n, 1.0)};
}

}  // namespace

TEST_CASE("NIST StRD Norris: certified line") {
  const std::vector<double> numbers = reference_numbers("nist/Norris_y_x.txt");
  Column x{"x", {}};
  std::vector<double> y;
  for (std::size_t i = 0; i + 1 < numbers.size(); i += 2) {
    y.push_back(numbers[i]);
    x.values.push_back(numbers[i + 1]);
  }
  REQUIRE(y.size() == 36);
  const auto fit = fit_least_squares({ones(36), x}, y);
  CHECK(*fit.coefficient(0) == to_digits(-0.262323073774029, 12));
  CHECK(*fit.coefficient(1) == to_digits(1.00211681802045, 13));
  CHECK(*fit.standard_error(0) == to_digits(0.232818234301152, 12));
  CHECK(*fit.standard_error(1) == to_digits(0.429796848199937E-03, 12));
  CHECK(*fit.residual_sd() == to_digits(0.884796396144373, 12));
  CHECK(fit.residual_sum_of_squares() == to_digits(26.6173985294224, 12));
  CHECK(fit.residual_dof() == 34);
}

TEST_CASE("JCGM 100:2008, H.3: calibration line of a thermometer") {
  Column excess{"t - 20 degC", {}};
  std::vector<double> correction;
  for (const auto& row : reference_rows("gum/gum_h3.csv")) {
    excess.values.push_back(std::stod(row[0]) - 20);
    correction.push_back(std::stod(row[1]));
  }
  const auto fit = fit_least_squares({ones(11), excess}, correction);
  // Printed (seen): -.1712 (.0029), .00218 (.00067), r -.930, s .0035; R gives more (computed).
  CHECK(*fit.coefficient(0) == to_digits(-0.17120379, 7));
  CHECK(*fit.coefficient(1) == to_digits(0.00218270, 5));
  CHECK(*fit.standard_error(0) == to_digits(0.00287760, 5));
  CHECK(*fit.standard_error(1) == to_digits(0.00066794, 5));
  CHECK(*fit.residual_sd() == to_digits(0.00349756, 5));
  const double r = *fit.covariance(0, 1) / (*fit.standard_error(0) * *fit.standard_error(1));
  CHECK(r == to_digits(-0.93042960, 7));
  // b(30 degC): printed -.1494, u .0041 with 9 degrees of freedom (from memory).
  CHECK(*fit.coefficient(0) + 10 * *fit.coefficient(1) == to_digits(-0.14937681, 7));
  const double variance =
      *fit.covariance(0, 0) + 20 * *fit.covariance(0, 1) + 100 * *fit.covariance(1, 1);
  CHECK(std::sqrt(variance) == to_digits(0.00413860, 5));
  CHECK(fit.residual_dof() == 9);
}

TEST_CASE("Lines through the SciPy sets") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    const auto set = reference_json("scipy/" + name + ".json");
    const auto y = set.at("inputs").at("a").get<std::vector<double>>();
    Column index{"index", {}};
    for (std::size_t i = 0; i < y.size(); ++i) {
      index.values.push_back(static_cast<double>(i));
    }
    const auto fit = fit_least_squares({ones(y.size()), index}, y);
    const auto& expected = set.at("outputs").at("theil_sen_a").at("ols");
    CHECK(*fit.coefficient(1) == to_digits(expected.at("slope").get<double>(), 11));
    CHECK(*fit.coefficient(0) == to_digits(expected.at("intercept").get<double>(), 12));
    CHECK(*fit.standard_error(1) == to_digits(expected.at("slope_se").get<double>(), 11));
  }
}

TEST_CASE("A column that says nothing new is left out and named") {
  const std::vector<double> y{1, 2, 4, 7, 11};
  const Column x{"x", {1, 2, 3, 4, 6}};
  const Column sum{"sum", {3, 5, 7, 9, 13}};  // 1 + 2 x
  const Column nothing{"nothing", {0, 0, 0, 0, 0}};
  const Column square{"square", {1, 4, 9, 16, 36}};
  const auto fit = fit_least_squares({ones(5), x, sum, nothing, square}, y);
  CHECK(fit.rank() == 3);
  REQUIRE(fit.aliases().size() == 2);
  CHECK(fit.aliases()[0].column == 2);
  CHECK(fit.aliases()[0].with == std::vector<std::size_t>{0, 1});
  CHECK(fit.aliases()[1].column == 3);
  CHECK(fit.aliases()[1].with.empty());
  CHECK_FALSE(fit.coefficient(2));
  CHECK_FALSE(fit.standard_error(2));
  CHECK(fit.coefficient(1));
  CHECK_FALSE(fit.estimable(1));
  CHECK(fit.estimable(4));
}

TEST_CASE("A fit without residual degrees of freedom claims no certainty") {
  const std::vector<double> y{3, 5};
  const auto fit = fit_least_squares({ones(2), {"x", {0, 1}}}, y);
  CHECK(*fit.coefficient(1) == Approx(2));
  CHECK_FALSE(fit.residual_sd());
  CHECK_FALSE(fit.standard_error(1));
}

TEST_CASE("Impossible fits are refused") {
  const std::vector<double> y{3, 5};
  CHECK_THROWS_AS(fit_least_squares({}, y), thumblight::Error);
  CHECK_THROWS_AS(fit_least_squares({ones(3)}, y), thumblight::Error);
  CHECK_THROWS_AS(fit_least_squares({ones(0)}, {}), thumblight::Error);
  CHECK_THROWS_AS(fit_least_squares({{"x", {1, INFINITY}}}, y), thumblight::Error);
}
