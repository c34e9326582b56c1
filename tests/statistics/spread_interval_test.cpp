#include "analysis/statistics/spread_interval.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <iostream>
#include <random>
#include <vector>

using namespace thumblight::statistics;

namespace {

using Draw = std::function<double(std::mt19937&)>;

struct Shape {
  const char* name;
  double sd;
  Draw draw;
};

std::vector<Shape> shapes() {
  const auto gamma = [](double shape) {
    return Shape{
        shape == 1 ? "gamma 1" : "gamma 4", std::sqrt(shape),
        [shape](std::mt19937& random) { return std::gamma_distribution<double>(shape)(random); }};
  };
  return {{"uniform", 1 / std::sqrt(12.0),
           [](std::mt19937& random) { return std::uniform_real_distribution<double>()(random); }},
          {"normal", 1,
           [](std::mt19937& random) { return std::normal_distribution<double>()(random); }},
          gamma(4),
          gamma(1)};
}

/// The share of 2000 samples whose interval holds the true spread; the instrument adds a
/// rectangular error of standard uncertainty `u`.
double coverage(const Shape& shape, std::size_t n, double u, std::mt19937& random) {
  constexpr int kSamples = 2000;
  std::uniform_real_distribution<double> error(-u * std::sqrt(3.0), u * std::sqrt(3.0));
  int held = 0;
  for (int sample = 0; sample < kSamples; ++sample) {
    std::vector<double> values(n);
    for (double& value : values) {
      value = shape.draw(random) + (u > 0 ? error(random) : 0);
    }
    const SpreadInterval interval = *spread_interval(values, 1, u);
    held += interval.low <= shape.sd && shape.sd <= interval.high ? 1 : 0;
  }
  return held / static_cast<double>(kSamples);
}

}  // namespace

TEST_CASE("the interval of a spread holds the truth about 19 times of 20, whatever the shape") {
  std::mt19937 random(20260301);
  for (const Shape& shape : shapes()) {
    for (const std::size_t n : {10, 40, 200}) {
      for (const double u_share : {0.0, 0.5, 1.0}) {
        const double held = coverage(shape, n, u_share * shape.sd, random);
        std::cout << "spread interval: " << shape.name << ", n " << n << ", instrument " << u_share
                  << " of the SD: " << held << '\n';
        INFO(shape.name << " n " << n << " instrument " << u_share);
        CHECK(held >= 0.91);
      }
    }
  }
}

TEST_CASE("the spread of 100 normal values has an interval near that of chi-squared") {
  std::mt19937 random(7);
  std::normal_distribution<double> normal(5, 2);
  double ratio = 0;
  for (int sample = 0; sample < 400; ++sample) {
    std::vector<double> values(100);
    for (double& value : values) {
      value = normal(random);
    }
    const SpreadInterval interval = *spread_interval(values, 1, 0.0);
    CHECK(interval.low < *interval.sd);
    CHECK(*interval.sd < interval.high);
    ratio += interval.high / interval.low / 400;
  }
  // sqrt(128.422 / 73.361), the 97.5th and 2.5th percentiles of chi-squared with 99 degrees of
  // freedom (NIST/SEMATECH e-Handbook 1.3.6.7.4 prints 128.422 and 73.361; from memory).
  CHECK(ratio == Approx(std::sqrt(128.422 / 73.361)).epsilon(0.06));
}

TEST_CASE("the instrument's share comes off, and what is left of nothing is a limit, not 0") {
  std::mt19937 random(8);
  std::uniform_real_distribution<double> frame(-0.5, 0.5);
  std::vector<double> values(100);
  for (double& value : values) {
    value = frame(random);
  }
  const double frame_u = 1 / std::sqrt(12.0);
  const SpreadInterval camera_alone = *spread_interval(values, 1, frame_u);
  CHECK_FALSE(camera_alone.is_resolved());
  CHECK(camera_alone.high > 0.05);
  CHECK(camera_alone.high < 0.25);
  // An instrument overstated threefold leaves no variance: no estimate, and still a limit above 0.
  const SpreadInterval overstated = *spread_interval(values, 1, 3 * frame_u);
  CHECK_FALSE(overstated.sd);
  CHECK(overstated.low == 0);
  CHECK(overstated.high > 0);
  const SpreadInterval small = *spread_interval(values, 1, 0.1);
  CHECK(*small.sd == Approx(std::sqrt(small.observed_sd * small.observed_sd - 0.01)));
  CHECK(small.is_resolved());
}

TEST_CASE("an unknown instrument may be all there is") {
  const std::vector<double> values = {1, 2, 3, 4, 5, 6, 7, 8};
  const SpreadInterval unknown = *spread_interval(values, 1, std::nullopt);
  CHECK_FALSE(unknown.sd);
  CHECK(unknown.low == 0);
  CHECK(unknown.high > unknown.observed_sd);
  CHECK(unknown.observed_sd == Approx(std::sqrt(6.0)));
}

TEST_CASE("the ends of the range: few values, equal values, far values, values without end") {
  CHECK_FALSE(spread_interval(std::vector<double>(7, 1.0), 1, 0.0));
  CHECK_FALSE(spread_interval({}, 1, 0.0));
  const SpreadInterval equal = *spread_interval(std::vector<double>(9, 3.0), 1, 0.0);
  CHECK(equal.high == 0);
  CHECK_FALSE(equal.sd);
  std::vector<double> wild = {0, 0, 0, 0, 0, 0, 0, 1e9};
  const SpreadInterval stall = *spread_interval(wild, 2, 0.0);
  CHECK(std::isfinite(stall.high));
  CHECK(stall.low >= 0);
  wild.back() = NAN;
  CHECK_THROWS(spread_interval(wild, 1, 0.0));
}

TEST_CASE("a line that was taken off costs a degree of freedom; scale and place do not matter") {
  const std::vector<double> values = {1, 5, 2, 8, 3, 9, 4, 7, 6};
  const SpreadInterval mean = *spread_interval(values, 1, 0.0);
  const SpreadInterval line = *spread_interval(values, 2, 0.0);
  CHECK(line.observed_sd == Approx(mean.observed_sd * std::sqrt(8.0 / 7)));
  std::vector<double> moved = values;
  for (double& value : moved) {
    value = 100 - 3 * value;
  }
  CHECK(spread_interval(moved, 1, 0.0)->high == Approx(3 * mean.high));
  CHECK(spread_interval(moved, 1, 0.0)->low == Approx(3 * mean.low));
}
