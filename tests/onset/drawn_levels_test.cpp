#include "analysis/onset/drawn_levels.hpp"

#include <catch2/catch.hpp>
#include <random>

using namespace thumblight::onset;

namespace {

FilmedGroup with_heights(const std::vector<double>& heights) {
  FilmedGroup group;
  group.heights = heights;
  return group;
}

/// Heights about 0.6 with a relative standard deviation of `error`.
std::vector<double> drawn(double error, unsigned seed) {
  std::mt19937 engine(seed);
  std::normal_distribution<double> noise(0, error);
  std::vector<double> heights(60);
  for (double& height : heights) {
    height = 0.6 * (1 + noise(engine));
  }
  return heights;
}

}  // namespace

TEST_CASE("the coder's error is what the heights of steps scatter by") {
  for (const double error : {0.01, 0.03, 0.06}) {
    const FilmedGroup lamp = with_heights(drawn(error, 5));
    CHECK(level_error(lamp, {}, false) == Approx(error).epsilon(0.25));
  }
}

TEST_CASE("neither a few odd steps nor a drift are the coder's error") {
  std::vector<double> heights = drawn(0.01, 6);
  heights[10] = 0.3;
  heights[40] = 0.9;
  for (std::size_t i = 0; i < heights.size(); ++i) {
    heights[i] *= 1 - 0.002 * static_cast<double>(i);
  }
  CHECK(level_error(with_heights(heights), {}, false) < 0.02);
}

TEST_CASE("what moves lamp and patch alike is the camera's exposure") {
  std::vector<double> lamp = drawn(0.01, 7);
  std::vector<double> patch = drawn(0.003, 8);
  const std::vector<double> gain = drawn(0.08, 9);
  for (std::size_t i = 0; i < gain.size(); ++i) {
    lamp[i] *= gain[i];
    patch[i] *= gain[i];
  }
  CHECK(level_error(with_heights(lamp), {}, false) > 0.05);
  CHECK(level_error(with_heights(lamp), with_heights(patch), false) < 0.014);
}

TEST_CASE("no error is thought to be none, and few steps tell nothing") {
  const FilmedGroup same = with_heights(std::vector<double>(20, 0.5));
  CHECK(level_error(same, {}, false) == Approx(0.004));
  CHECK(level_error(same, {}, true) == Approx(0.001));
  CHECK(level_error(with_heights({0.5, 0.9}), {}, false) == Approx(0.015));
  CHECK(level_error({}, {}, true) == Approx(0.003));
}

TEST_CASE("steps that stop short are measured against the full height of those about them") {
  // A coder leaves every other step standing 3 % short.
  FilmedGroup group;
  for (std::size_t i = 0; i < 12; ++i) {
    FilmedStep step;
    PlaceSeries place;
    place.height = i % 2 == 0 ? 0.6 : 0.6 * 0.97;
    place.share = {0, 0, 0.5, 1, 1};
    step.places.push_back(place);
    group.steps.push_back(step);
    group.heights.push_back(place.height);
  }
  share_height(group, {});
  for (std::size_t i = 0; i < 12; ++i) {
    const PlaceSeries& place = group.steps[i].places[0];
    const double ratio = i % 2 == 0 ? 1 : 0.97;
    CHECK(place.settled == Approx(ratio));
    CHECK(static_cast<double>(place.share[2]) == Approx(0.5 * ratio));
    CHECK(static_cast<double>(place.share[4]) == Approx(ratio));
  }
}

TEST_CASE("heights that change with the camera's exposure stay as they are") {
  FilmedGroup patch;
  FilmedGroup lamp;
  for (std::size_t i = 0; i < 12; ++i) {
    const double gain = 1 + 0.04 * static_cast<double>(i % 3);
    FilmedStep step;
    PlaceSeries place;
    place.height = 0.6 * gain;
    place.share = {0, 0.5, 1};
    step.places.push_back(place);
    patch.steps.push_back(step);
    patch.heights.push_back(0.6 * gain);
    lamp.heights.push_back(0.4 * gain);
  }
  share_height(patch, lamp);
  for (const FilmedStep& step : patch.steps) {
    CHECK(step.places[0].settled == 1);
  }
}
