#include "analysis/statistics/trend.hpp"

#include "analysis/statistics/bounded_draw.hpp"
#include "analysis/statistics/pairwise_slopes.hpp"
#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;

TEST_CASE("Slope, interval and intercept agree with SciPy") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    const auto set = reference_json("scipy/" + name + ".json");
    for (const std::string sample : {"a", "b"}) {
      CAPTURE(name, sample);
      const auto& expected = set.at("outputs").at("theil_sen_" + sample);
      const auto trend = theil_sen_trend(set.at("inputs").at(sample).get<std::vector<double>>());
      REQUIRE(trend);
      REQUIRE(trend->slope_interval);
      CHECK(trend->slope == Approx(expected.at("slope").get<double>()).epsilon(1e-12));
      CHECK(trend->slope_interval->low ==
            Approx(expected.at("ci95_slope")[0].get<double>()).epsilon(1e-12));
      CHECK(trend->slope_interval->high ==
            Approx(expected.at("ci95_slope")[1].get<double>()).epsilon(1e-12));
      CHECK(trend->intercept == Approx(expected.at("intercept_joint").get<double>()));
    }
  }
}

TEST_CASE("The example of SciPy's tests, after Sen") {
  const std::vector<double> x{1, 2, 3, 4, 10, 12, 18};
  const std::vector<double> y{9, 15, 19, 20, 45, 55, 78};
  const auto trend = theil_sen_trend(x, y, 0.93);
  CHECK(trend->slope == Approx(4));
  CHECK(trend->intercept == Approx(6));
  CHECK(trend->slope_interval->low == Approx(3.71).margin(0.005));
  CHECK(trend->slope_interval->high == Approx(4.38).margin(0.005));
  CHECK(trend->resolved());
}

TEST_CASE("Counting the slopes gives the same as listing them") {
  BoundedDraw draw(11);
  for (const std::size_t n : {2U, 3U, 10U, 61U, 200U}) {
    std::vector<double> x;
    std::vector<double> y;
    for (std::size_t i = 0; i < n; ++i) {
      x.push_back(i == 1 ? 5000 : 0.25 * draw.below(100));  // ties in x, and one point far off
      y.push_back(40 + 4.1667 * draw.below(6));
    }
    const auto listed = listed_slopes(x, y);
    const auto counted = counted_slopes(x, y);
    REQUIRE(counted->size() == listed->size());
    const auto step = std::max<std::uint64_t>(1, listed->size() / 37);
    for (std::uint64_t rank = 1; rank <= listed->size(); rank += step) {
      CAPTURE(n, rank);
      CHECK(counted->at_rank(rank) == Approx(listed->at_rank(rank)).epsilon(1e-9).margin(1e-12));
    }
  }
}

TEST_CASE("Thousands of presses: a known drift is found, however large the session") {
  std::vector<double> y;
  BoundedDraw draw(5);
  for (std::size_t i = 0; i < kMostPointsForAllSlopes + 1500; ++i) {
    y.push_back(50 + 0.002 * static_cast<double>(i) + 0.001 * draw.below(4000));
  }
  const auto trend = theil_sen_trend(y);
  CHECK(trend->slope_interval->low < 0.002);
  CHECK(trend->slope_interval->high > 0.002);
  CHECK(trend->slope_interval->half_width() < 1e-4);
  CHECK(trend->resolved());
}

TEST_CASE("A trend follows its data: sign, shift and scale") {
  const std::vector<double> y{41.3, 38.7, 45.2, 40.1, 43.9, 39.6, 47.8, 42.5};
  std::vector<double> turned;
  std::vector<double> moved;
  for (const double value : y) {
    turned.push_back(-value);
    moved.push_back(3 * value - 70);
  }
  const auto trend = theil_sen_trend(y);
  CHECK(theil_sen_trend(turned)->slope == Approx(-trend->slope));
  CHECK(theil_sen_trend(turned)->slope_interval->low == Approx(-trend->slope_interval->high));
  CHECK(theil_sen_trend(moved)->slope == Approx(3 * trend->slope));
  CHECK(theil_sen_trend(moved)->intercept == Approx(3 * trend->intercept - 70));
}

TEST_CASE("Too few points give no trend or no interval") {
  CHECK_FALSE(theil_sen_trend(std::vector<double>{}));
  CHECK_FALSE(theil_sen_trend(std::vector<double>{5}));
  CHECK_FALSE(theil_sen_trend(std::vector<double>{2, 2, 2}, std::vector<double>{1, 2, 3}));
  const auto two = theil_sen_trend(std::vector<double>{5, 7});
  CHECK(two->slope == 2);
  CHECK_FALSE(two->slope_interval);
  CHECK_FALSE(two->resolved());
  const auto equal = theil_sen_trend(std::vector<double>(30, 8.5));
  CHECK(equal->slope == 0);
  CHECK_FALSE(equal->resolved());
  CHECK_THROWS_AS(theil_sen_trend(std::vector<double>{1, 2}, std::vector<double>{1}),
                  thumblight::Error);
}
