#include "analysis/onset/sample_step.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace thumblight::onset;

namespace {

constexpr double kEdge_s = 0.0503137;

SampleWindow sampled(double rate_hz, double tau_s, double coupling_s, double noise, double sign) {
  std::mt19937 engine(4);
  std::normal_distribution<double> random(0, noise);
  SampleWindow window;
  double memory = 0;
  double last = 0;
  for (int i = 0; i < static_cast<int>(0.19 * rate_hz); ++i) {
    const double t_s = i / rate_hz;
    const double level = t_s < kEdge_s ? 0 : tau_s > 0 ? 1 - std::exp(-(t_s - kEdge_s) / tau_s) : 1;
    // First-order high-pass, the usual recursion for an exact exponential between samples.
    memory = coupling_s > 0 ? (memory + level - last) * std::exp(-1 / rate_hz / coupling_s) : level;
    last = level;
    window.time_s.push_back(t_s);
    window.value.push_back(0.1 + sign * 0.5 * memory + random(engine));
  }
  return window;
}

}  // namespace

TEST_CASE("10, 50 and 90 % of a first-order rise are met, either polarity") {
  for (const double sign : {1.0, -1.0}) {
    const double tau = 0.002;
    const auto step = find_sample_step(sampled(48000, tau, 0, 0.001, sign), kEdge_s, 0.1, {});
    REQUIRE(step);
    CHECK(step->t_s == Approx(kEdge_s - tau * std::log(0.9)).margin(5e-5));
    CHECK(step->t50_s == Approx(kEdge_s - tau * std::log(0.5)).margin(5e-5));
    CHECK(step->t90_s == Approx(kEdge_s - tau * std::log(0.1)).margin(2e-4));
    CHECK(step->height == Approx(sign * 0.5).epsilon(0.01));
    CHECK(step->u_s < 1e-4);
  }
}

TEST_CASE("an AC-coupled edge is read as it was before the coupling") {
  for (const double coupling_s : {0.01, 0.05}) {
    const SampleWindow window = sampled(48000, 0.002, coupling_s, 0.0005, 1);
    const auto found = find_coupling_s(window, kEdge_s);
    REQUIRE(found);
    CHECK(*found == Approx(coupling_s).epsilon(0.1));
    const auto step = find_sample_step(window, kEdge_s, 0.1, found);
    REQUIRE(step);
    CHECK(step->t_s == Approx(kEdge_s - 0.002 * std::log(0.9)).margin(1e-4));
  }
  CHECK_FALSE(find_coupling_s(sampled(48000, 0.002, 0, 0.0005, 1), kEdge_s));
}

TEST_CASE("noise alone is no step") {
  SampleWindow window = sampled(48000, 0, 0, 0.3, 0);
  CHECK_FALSE(find_sample_step(window, kEdge_s, 0.1, {}));
  CHECK_FALSE(find_sample_step({}, 0, 0.1, {}));
}
