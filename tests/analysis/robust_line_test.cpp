#include "analysis/timing/robust_line.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "analysis/timing/clock_link.hpp"
#include "analysis/timing/nearest.hpp"

using namespace thumblight::timing;

namespace {

std::vector<Point> points_of(const std::vector<double>& x, const std::vector<double>& y) {
  std::vector<Point> points;
  for (std::size_t k = 0; k < x.size(); ++k) {
    points.push_back({x[k], y[k]});
  }
  return points;
}

}  // namespace

// SciPy's own test of its Theil-Sen estimator: slope 4, joint intercept 6.
TEST_CASE("SciPy: Theil-Sen slope and joint intercept") {
  const Line line =
      robust_line(points_of({1, 2, 3, 4, 10, 12, 18}, {9, 15, 19, 20, 45, 55, 78}), 100);
  CHECK(line.slope == Approx(4).epsilon(1e-14));
  CHECK(line.intercept == Approx(6).epsilon(1e-14));
}

TEST_CASE("SciPy 1.10.1 on invented data: slope, joint intercept, median absolute deviation") {
  for (const char* set : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    std::ifstream file(std::string(THUMBLIGHT_DATA_DIR "/scipy/") + set + ".json");
    REQUIRE(file.good());
    const auto reference = nlohmann::json::parse(file);
    for (const std::string side : {"a", "b"}) {
      INFO(set << " " << side);
      const auto y = reference["inputs"][side].get<std::vector<double>>();
      std::vector<double> x;
      for (std::size_t k = 0; k < y.size(); ++k) {
        x.push_back(static_cast<double>(k));
      }
      const auto& outputs = reference["outputs"];
      const Line line = robust_line(points_of(x, y), 100);
      CHECK(line.slope ==
            Approx(outputs["theil_sen_" + side]["slope"].get<double>()).margin(1e-12));
      CHECK(line.intercept ==
            Approx(outputs["theil_sen_" + side]["intercept_joint"].get<double>()).epsilon(1e-12));
      CHECK(robust_sd(y) ==
            Approx(outputs["describe_" + side]["mad_scaled_1.4826"].get<double>()).epsilon(1e-12));
    }
  }
}

TEST_CASE("the slope is held to its limit, and one point has none") {
  CHECK(robust_line(points_of({0, 1, 2}, {0, 1, 2}), 0.005).slope == 0.005);
  CHECK(robust_line(points_of({5}, {7}), 0.005).slope == 0);
  CHECK(robust_line(points_of({5}, {7}), 0.005).intercept == 7);
}

TEST_CASE("nearest, from wherever it is sought") {
  const std::vector<double> sorted = {0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024};
  for (double value = -10; value < 1100; value += 0.5) {
    for (std::size_t from = 0; from <= sorted.size(); ++from) {
      REQUIRE(nearest_from(sorted, from, value) == nearest(sorted, value));
    }
  }
  CHECK(nearest(sorted, 3) == 2);
  CHECK(nearest(sorted, 3.1) == 3);
}

TEST_CASE("drift needs ten lights and finds the rate among wild ones") {
  std::vector<Point> points;
  for (int k = 0; k < 40; ++k) {
    const double t_s = 1.3 * k;
    const double jitter_s = 0.001 * ((k * 7) % 5 - 2);
    points.push_back({t_s, 1000 + 0.0021 * t_s - 0.020 + jitter_s + (k == 11 ? 0.5 : 0)});
  }
  const Drift drift = *drift_of(points);
  CHECK(drift.n == 39);  // all but the wild one
  CHECK(drift.u_ppm > 0);
  CHECK(drift.u_ppm < 40);
  CHECK(std::abs(drift.rate_ppm - 2100) < 3 * drift.u_ppm);
  points.resize(9);
  CHECK_FALSE(drift_of(points));
  CHECK_FALSE(drift_of(std::vector<Point>(20, Point{1, 1})));
}
