#include "analysis/statistics/location.hpp"

#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;

namespace {

std::vector<double> counting_to(std::size_t n) {
  std::vector<double> values;
  for (std::size_t i = 1; i <= n; ++i) {
    values.push_back(static_cast<double>(i));
  }
  return values;
}

/// 1 - 2 P(fewer than `low_rank` of n fair coins show heads), by Pascal's triangle in whole
/// numbers.
double confidence_by_counting(std::size_t low_rank, std::size_t n) {
  std::vector<double> row{1};
  for (std::size_t i = 0; i < n; ++i) {
    row.push_back(0);
    for (std::size_t k = row.size() - 1; k > 0; --k) {
      row[k] += row[k - 1];
    }
  }
  double heads = 0;
  for (std::size_t k = 0; k < low_rank; ++k) {
    heads += row[k];
  }
  return 1 - 2 * heads / std::pow(2.0, static_cast<double>(n));
}

}  // namespace

TEST_CASE("The interval of the mean agrees with SciPy") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    const auto set = reference_json("scipy/" + name + ".json");
    for (const std::string sample : {"a", "b"}) {
      CAPTURE(name, sample);
      const auto interval =
          interval_of_mean(set.at("inputs").at(sample).get<std::vector<double>>());
      const auto& expected = set.at("outputs").at("describe_" + sample).at("t_ci95_mean");
      // SciPy 1.10's t quantile is good to some 5e-9.
      CHECK(interval->low == Approx(expected[0].get<double>()).epsilon(1e-8));
      CHECK(interval->high == Approx(expected[1].get<double>()).epsilon(1e-8));
      CHECK(interval->level == 0.95);
    }
  }
}

TEST_CASE("The interval of the median: ranks and levels as published") {
  // Ranks of the 95 % interval in the tables of nonparametric textbooks (from memory).
  struct Row {
    std::size_t n;
    std::size_t low_rank;
    double level;
  };
  for (const Row& row : {Row{6, 1, 0.96875}, Row{10, 2, 0.978515625}, Row{20, 6, 0.958610534668}}) {
    const auto found = interval_of_median(counting_to(row.n));
    REQUIRE(found);
    CHECK(found->low_rank == row.low_rank);
    CHECK(found->high_rank == row.n + 1 - row.low_rank);
    CHECK(found->achieved_level == Approx(row.level).epsilon(1e-12));
    CHECK(found->interval.low == static_cast<double>(found->low_rank));
    CHECK(found->interval.high == static_cast<double>(found->high_rank));
  }
}

TEST_CASE("The interval of the median is the narrowest that keeps its level, by plain counting") {
  for (std::size_t n = 6; n <= 200; ++n) {
    for (const double level : {0.5, 0.9, 0.95, 0.96}) {
      CAPTURE(n, level);
      const auto found = interval_of_median(counting_to(n), level);
      REQUIRE(found);
      const double achieved = confidence_by_counting(found->low_rank, n);
      CHECK(found->achieved_level == Approx(achieved).epsilon(1e-12));
      CHECK(achieved >= level);
      CHECK((2 * (found->low_rank + 1) > n ||
             confidence_by_counting(found->low_rank + 1, n) < level));
    }
  }
  // Summed in whole numbers (computed).
  CHECK(interval_of_median(counting_to(100'000))->low_rank == 49'690);
}

TEST_CASE("No interval is made up from too few values") {
  CHECK_FALSE(interval_of_mean({}));
  CHECK_FALSE(interval_of_mean(std::vector<double>{12.5}));
  CHECK(interval_of_mean(std::vector<double>{12.5, 13.5}));
  for (std::size_t n = 0; n < 6; ++n) {
    CHECK_FALSE(interval_of_median(counting_to(n)));
  }
  CHECK_THROWS_AS(interval_of_mean(counting_to(5), 1.0), thumblight::Error);
  CHECK_THROWS_AS(interval_of_median(counting_to(5), 95), thumblight::Error);
}

TEST_CASE("Equal values give an interval of no width") {
  const std::vector<double> equal(10, 33.3);
  CHECK(interval_of_mean(equal)->half_width() == 0);
  CHECK(interval_of_median(equal)->interval.half_width() == 0);
}
