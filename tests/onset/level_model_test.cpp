#include "analysis/onset/level_model.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

using namespace thumblight::onset;

namespace {

/// A step from 0.02 to 0.6 at 0, filmed 240 times a second, with a ripple and noise on it.
LevelSeries step_with(double ripple, double hz, double noise, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> bell(0, noise);
  LevelSeries series;
  for (int frame = -36; frame < 48; ++frame) {
    const double t_s = frame / 240.0 + 1e-3 * seed;
    series.start_s.push_back(t_s);
    series.level.push_back((t_s < 0 ? 0.02 : 0.6) +
                           ripple * std::sin(2 * std::numbers::pi * hz * t_s + seed) +
                           bell(random));
  }
  series.windows = {-0.01, 0.01};
  return series;
}

LevelTerms terms_for(double ripple, double hz, double noise) {
  std::vector<LevelSeries> all;
  for (unsigned seed = 1; seed <= 12; ++seed) {
    all.push_back(step_with(ripple, hz, noise, seed));
  }
  return choose_terms(all);
}

}  // namespace

TEST_CASE("the mains' flicker is found where it matters, at its own frequency") {
  CHECK(terms_for(0.01, 100, 0.004).flicker_hz == 100);
  CHECK(terms_for(0.01, 120, 0.004).flicker_hz == 120);
}

TEST_CASE("noise, stillness and a ripple too small to move anything are no flicker") {
  CHECK(terms_for(0, 100, 0.004).flicker_hz == 0);
  CHECK(terms_for(0, 100, 0).flicker_hz == 0);
  CHECK(terms_for(0.0008, 100, 0.0002).flicker_hz == 0);
}
