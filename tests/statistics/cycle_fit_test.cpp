#include "analysis/statistics/cycle_fit.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

using namespace thumblight::statistics;

TEST_CASE("phases that do not matter have p below 0.05 about once in 20") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> turn(-3, 3);
  std::gamma_distribution<double> value(2);
  int below = 0;
  for (int sample = 0; sample < 2000; ++sample) {
    std::vector<double> turns(30);
    std::vector<double> values(30);
    for (std::size_t k = 0; k < turns.size(); ++k) {
      turns[k] = turn(random);
      values[k] = value(random);
    }
    below += fit_cycle(turns, values, 1)->p < 0.05 ? 1 : 0;
  }
  CHECK(below > 60);
  CHECK(below < 140);
}

TEST_CASE("a wave is found with its amplitude; a sawtooth is a wave for 6 / pi^2 of its variance") {
  std::vector<double> turns;
  std::vector<double> wave;
  std::vector<double> saw;
  for (int k = 0; k < 1000; ++k) {
    const double turn = (k + 0.5) / 1000;
    turns.push_back(turn + k % 7);
    wave.push_back(5 + 2 * std::sin(2 * std::numbers::pi * turn + 1) + (k % 2 == 0 ? 0.1 : -0.1));
    saw.push_back(1 - turn);
  }
  const CycleFit fit = *fit_cycle(turns, wave, 1);
  CHECK(fit.amplitude == Approx(2).epsilon(1e-3));
  CHECK(fit.share == Approx(2 / 2.01).epsilon(1e-3));
  CHECK(fit.p < 1e-12);
  // First harmonic of a sawtooth: amplitude 1 / pi, so 1 / (2 pi^2) of a variance of 1 / 12.
  CHECK(fit_cycle(turns, saw, 1)->share ==
        Approx(6 / (std::numbers::pi * std::numbers::pi)).epsilon(1e-3));
}

TEST_CASE("no wave without variation, in few values, or where all phases are one") {
  const std::vector<double> turns = {.1, .2, .3, .4, .5, .6, .7, .8, .9, 1};
  CHECK_FALSE(fit_cycle(turns, std::vector<double>(10, 4.0), 1));
  CHECK_FALSE(fit_cycle(std::vector<double>(10, 0.25), turns, 1));
  CHECK_FALSE(fit_cycle({}, {}, 1));
  CHECK_THROWS(fit_cycle(std::vector<double>(9, 0.5), turns, 1));
}
