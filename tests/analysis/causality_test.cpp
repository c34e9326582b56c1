#include "analysis/timing/causality.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>

using namespace thumblight::timing;

namespace {

ClockLimit at_most(double x_s, double offset_s, std::size_t press = 0) {
  return {x_s, offset_s, true, press};
}
ClockLimit at_least(double x_s, double offset_s, std::size_t press = 0) {
  return {x_s, offset_s, false, press};
}

double highest(const std::vector<Clock>& corners, double x_s) {
  double value = -1e300;
  for (const Clock& clock : corners) {
    value = std::max(value, clock.offset_at(x_s));
  }
  return value;
}

double lowest(const std::vector<Clock>& corners, double x_s) {
  double value = 1e300;
  for (const Clock& clock : corners) {
    value = std::min(value, clock.offset_at(x_s));
  }
  return value;
}

}  // namespace

TEST_CASE("without a rate error the offset lies between the latest floor and the first ceiling") {
  const FeasibleClocks feasible = feasible_clocks(
      {at_most(0, 10.020), at_most(5, 10.015), at_least(1, 10.001), at_least(6, 10.004)}, 0);
  REQUIRE(feasible.bounded);
  CHECK(lowest(feasible.corners, 3) == Approx(10.004).margin(2e-9));
  CHECK(highest(feasible.corners, 3) == Approx(10.015).margin(2e-9));
}

TEST_CASE("limits from one side alone bound nothing") {
  CHECK_FALSE(feasible_clocks({at_most(0, 1), at_most(1, 2)}, 0.005).bounded);
  CHECK_FALSE(feasible_clocks({at_least(0, 1)}, 0.005).bounded);
  CHECK_FALSE(feasible_clocks({}, 0.005).bounded);
}

TEST_CASE("limits that touch leave one clock, not none") {
  const FeasibleClocks feasible = feasible_clocks(
      {at_most(0, 2), at_least(0, 2), at_most(10, 2.01), at_least(10, 2.01)}, 0.005);
  REQUIRE_FALSE(feasible.corners.empty());
  CHECK_FALSE(feasible.contradiction);
  CHECK(highest(feasible.corners, 5) == Approx(2.005).margin(1e-8));
}

TEST_CASE("a contradiction names the two presses that disagree the most") {
  std::vector<ClockLimit> limits;
  for (std::size_t k = 0; k < 20; ++k) {
    limits.push_back(at_most(static_cast<double>(k), 5.02, k));
    limits.push_back(at_least(static_cast<double>(k), 5.00, k));
  }
  limits[2 * 9] = at_most(9, 4.99, 9);
  const FeasibleClocks feasible = feasible_clocks(limits, 0.005);
  REQUIRE(feasible.contradiction);
  CHECK(feasible.corners.empty());
  CHECK(feasible.contradiction->press_by_arrival == 9);
  CHECK(feasible.contradiction->by_s == Approx(0.010).margin(1e-6));
}

// An invented series of one-way delays whose rate is 37 ppm, floor 0.254 s (skew_one_way.csv). Its
// line below all points is that of the linear programme of Moon, Skelly and Towsley (INFOCOM 1999),
// which at the mean sending time is as high as a line may be: 3.700005882828e-05 t +
// 0.2539999635830819 (computed as an edge of the lower hull).
TEST_CASE("the highest feasible clock at the mean time is the line below all delays") {
  std::ifstream file(THUMBLIGHT_DATA_DIR "/misc/skew_one_way.csv");
  std::ifstream truth(THUMBLIGHT_DATA_DIR "/misc/skew_one_way.json");
  REQUIRE(file.good());
  const auto hull = nlohmann::json::parse(truth)["hull"];
  std::vector<ClockLimit> limits = {at_least(0, 0)};
  std::string line;
  std::getline(file, line);
  double mean_s = 0;
  while (std::getline(file, line)) {
    std::istringstream cells(line);
    double t_s = 0;
    double delay_s = 0;
    char comma = 0;
    REQUIRE(cells >> t_s >> comma >> delay_s);
    limits.push_back(at_most(t_s, delay_s));
    mean_s += t_s;
  }
  REQUIRE(limits.size() == 201);
  mean_s /= 200;
  const std::vector<Clock> corners = feasible_clocks(limits, 0.005).corners;
  const auto best = *std::max_element(
      corners.begin(), corners.end(),
      [&](const Clock& a, const Clock& b) { return a.offset_at(mean_s) < b.offset_at(mean_s); });
  CHECK(best.theta1 == Approx(hull["skew"].get<double>()).margin(1e-10));
  CHECK(best.theta0_s == Approx(hull["intercept_s"].get<double>()).margin(1e-8));
}

TEST_CASE("the true clock is never outside the polygon") {
  std::mt19937 random(43);
  std::uniform_real_distribution<double> rate(-0.0049, 0.0049);
  std::uniform_real_distribution<double> wait(0, 0.03);
  std::uniform_real_distribution<double> when(0, 300);
  for (int trial = 0; trial < 500; ++trial) {
    const Clock truth{when(random) * 1000, rate(random)};
    std::vector<ClockLimit> limits;
    for (int k = 0; k < 1 + trial % 50; ++k) {
      const double x_s = when(random);
      limits.push_back(at_most(x_s, truth.offset_at(x_s) + wait(random)));
      limits.push_back(at_least(x_s, truth.offset_at(x_s) - wait(random)));
    }
    const std::vector<Clock> corners = feasible_clocks(limits, 0.005).corners;
    INFO("trial " << trial);
    REQUIRE_FALSE(corners.empty());
    for (const double x_s : {0.0, 150.0, 300.0}) {
      CHECK(lowest(corners, x_s) <= truth.offset_at(x_s) + 1e-8);
      CHECK(highest(corners, x_s) >= truth.offset_at(x_s) - 1e-8);
    }
  }
}
