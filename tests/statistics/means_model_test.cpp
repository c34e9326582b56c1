#include "analysis/statistics/means_model.hpp"

#include <cmath>
#include <limits>
#include <random>

#include "analysis/statistics/mean_difference.hpp"
#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_rows;
using thumblight::test::to_digits;

namespace {

constexpr double kKnown = std::numeric_limits<double>::infinity();

struct Table {
  std::vector<UncertainMean> means;
  std::vector<Factor> factors;
};

/// Each row as a session whose own uncertainty is next to nothing, so that all scatter is between
/// sessions.
Table table(const std::string& file, std::size_t y_column,
            const std::vector<std::pair<std::string, std::size_t>>& factors) {
  Table result;
  for (const auto& factor : factors) {
    result.factors.push_back({factor.first, {}});
  }
  for (const auto& row : reference_rows(file)) {
    result.means.push_back({std::stod(row.at(y_column)), 1e-6, kKnown});
    for (std::size_t i = 0; i < factors.size(); ++i) {
      result.factors[i].level_of.push_back(row.at(factors[i].second));
    }
  }
  return result;
}

}  // namespace

TEST_CASE("Session means: ceramic strength of e-Handbook 1.3.5.5") {
  const Table data = table("nist/jahanmi2_ceramic_strength.csv", 2,
                           {{"X1", 3}, {"X2", 4}, {"X3", 5}, {"batch", 1}});
  const auto model = fit_means(data.means, data.factors);
  CHECK(model->n == 480);
  CHECK(model->residual_dof == 475);
  // The residual standard deviation in doubles (SciPy and NumPy, computed); all of it is between
  // sessions here.
  CHECK(model->between_sd == to_digits(63.05772261, 8));
  const MeanEffect& batch = model->effects[3];
  CHECK(*batch.estimate == Approx(611.1559 - 688.9987).margin(1e-4));  // batch means printed (S2)
  // The effect of a balanced factor of two levels: t^2 = F, printed as 182.8703 in single precision
  // and 182.8690013 in doubles; Student's t for 475 degrees of freedom is 1.96496 (SciPy).
  const double t = *batch.estimate / (batch.interval->half_width() / 1.96496);
  CHECK(t * t == Approx(182.8690013).epsilon(2e-5));
}

TEST_CASE("Session means: one-way analysis of e-Handbook 7.4.3.3") {
  const Table data = table("nist/prc433_oneway.csv", 1, {{"level", 0}});
  const auto model = fit_means(data.means, data.factors);
  CHECK(model->residual_dof == 12);
  CHECK(model->between_sd * model->between_sd == to_digits(17.452 / 12, 8));  // SS_err, printed
  CHECK(model->repeated == 12);
  REQUIRE(model->effects.size() == 2);
  // Five values a level; t.975 with 12 degrees of freedom is 2.1788 (SciPy).
  CHECK(model->effects[0].interval->half_width() ==
        Approx(2.1788128 * std::sqrt(17.452 / 12 * 2 / 5)).epsilon(1e-6));
}

TEST_CASE("Session means: ToothGrowth of R, the interaction tested by F") {
  const Table data = table("nist/toothgrowth.csv", 0, {{"supp", 1}, {"dose", 2}});
  const auto model = fit_means(data.means, data.factors);
  REQUIRE(model->interactions.size() == 1);
  CHECK(model->interactions[0].dof == 2);
  CHECK(*model->interactions[0].f == to_digits(4.106991094, 8));  // R prints 4.107
  CHECK(*model->interactions[0].p == to_digits(0.02186026896, 7));
  CHECK(*model->effects[0].estimate == Approx(3.7));  // OJ against VC: 20.66333 less 16.96333
}

TEST_CASE("Session means: two sessions, their own uncertainties alone") {
  // Nothing is left to compare with: Welch and Satterthwaite's interval of two means.
  const Factor pad{"controller", {"A", "B"}};
  const auto model = fit_means({{30, 0.3, 19}, {33, 0.4, 24}}, {pad});
  CHECK(model->residual_dof == 0);
  CHECK(model->between_sd == 0);
  CHECK(model->interactions.empty());
  REQUIRE(model->effects.size() == 1);
  CHECK(*model->effects[0].estimate == Approx(3));
  // u = 0.5, dof = 0.5^4 / (0.3^4 / 19 + 0.4^4 / 24) = 41.77; Student's t for it is 2.01845
  // (SciPy).
  CHECK(model->effects[0].interval->half_width() == Approx(0.5 * 2.01845).epsilon(1e-4));
}

TEST_CASE("Session means: a weight counts as so many sessions") {
  const Factor pad{"controller", {"A", "A", "B", "B"}};
  const Factor twice{"controller", {"A", "A", "A", "A", "A", "B", "B"}};
  const auto weighted = fit_additive_model(std::vector<double>{30, 36, 40, 42}, {pad}, 0.95,
                                           std::vector<double>{4, 1, 1, 1});
  const auto repeated =
      fit_additive_model(std::vector<double>{30, 30, 30, 30, 36, 40, 42}, {twice}, 0.95);
  CHECK(*weighted->base == Approx(*repeated->base));
  CHECK(*weighted->effects[0].estimate == Approx(*repeated->effects[0].estimate));
  CHECK_THROWS_AS(
      fit_additive_model(std::vector<double>{1, 2, 3, 4}, {pad}, 0.95, std::vector<double>{1, 1}),
      thumblight::Error);
  CHECK_THROWS_AS(fit_additive_model(std::vector<double>{1, 2, 3, 4}, {pad}, 0.95,
                                     std::vector<double>{1, 1, 1, 0}),
                  thumblight::Error);
}

TEST_CASE("Session means: intervals of 95 % take in the truth, whatever lies between sessions") {
  const Factor pad{"controller", {"A", "A", "B", "B", "A", "B", "A", "B"}};
  const Factor screen{"display", {"X", "Y", "X", "Y", "X", "Y", "Y", "X"}};
  std::mt19937 random(7);
  std::normal_distribution<double> normal(0, 1);
  constexpr int kRuns = 2'000;
  for (const double between : {0.0, 0.3, 3.0}) {
    CAPTURE(between);
    int taken_in = 0;
    for (int run = 0; run < kRuns; ++run) {
      std::vector<UncertainMean> means;
      for (std::size_t i = 0; i < pad.level_of.size(); ++i) {
        const double u = i % 2 == 0 ? 0.2 : 0.6;
        const double truth = 30 + (pad.level_of[i] == "B" ? 5 : 0);
        means.push_back({truth + u * normal(random) + between * normal(random), u, kKnown});
      }
      const Interval found = *fit_means(means, {pad, screen})->effects[0].interval;
      taken_in += found.low <= 5 && 5 <= found.high ? 1 : 0;
    }
    // Binomial: 0.95 of 2,000 has a standard deviation of 0.005. Wider than need be is allowed.
    CHECK(taken_in / static_cast<double>(kRuns) > 0.935);
  }
}

TEST_CASE("Session means: what the design cannot tell is named, and bad input refused") {
  const Factor pad{"controller", {"A", "A", "B", "B"}};
  const Factor screen{"display", {"X", "X", "Y", "Y"}};
  const std::vector<UncertainMean> means(4, {30, 0.5, 19});
  const auto model = fit_means(means, {pad, screen});
  REQUIRE(model->confounded.size() == 1);
  CHECK_FALSE(model->effects[0].estimate);
  CHECK_FALSE(model->effects[0].interval);
  CHECK_FALSE(fit_means({}, {pad}));
  CHECK_FALSE(fit_means(means, {}));
  CHECK_THROWS_AS(fit_means({{30, 0, 19}, {30, 1, 19}, {30, 1, 19}, {30, 1, 19}}, {pad}),
                  thumblight::Error);
  CHECK_THROWS_AS(fit_means({{30, 1, 0.5}, {30, 1, 19}, {30, 1, 19}, {30, 1, 19}}, {pad}),
                  thumblight::Error);
}
