#include "analysis/onset/edge_response.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using namespace thumblight::onset;

// Step response of a first-order system, 1 - exp(-t / tau); 10-90 % rise time tau * ln 9
// (any textbook of control engineering; common practice).
TEST_CASE("a first-order rise follows its closed form") {
  const double tau = 0.004;
  const EdgeShape shape{0, tau};
  for (const double t : {-1.0, 0.0, 0.001, 0.004, 0.02}) {
    CHECK(step_share(shape, t) == Approx(t <= 0 ? 0 : 1 - std::exp(-t / tau)).margin(1e-12));
  }
  CHECK(rise_time_s(shape) == Approx(tau * std::log(9)).epsilon(1e-6));
  CHECK(share_time_s(shape, 0.1) == Approx(-tau * std::log(0.9)).epsilon(1e-6));
}

TEST_CASE("an exposure over a first-order rise has its mean") {
  const double tau = 0.002;
  const double exposure = 0.003;
  const auto integral = [tau](double t) { return t <= 0 ? 0 : t - tau * (1 - std::exp(-t / tau)); };
  for (double start = -0.005; start < 0.012; start += 0.0007) {
    const double mean = (integral(start + exposure) - integral(start)) / exposure;
    CHECK(exposed_share({0, tau}, exposure, 0, start) == Approx(mean).margin(1e-9));
  }
}

TEST_CASE("an exposure over a sudden step is the part of it after the step") {
  CHECK(exposed_share({}, 0.004, 0, -0.001) == Approx(0.75));
  CHECK(exposed_share({}, 0.004, 0, -0.005) == Approx(0).margin(1e-12));
  CHECK(exposed_share({}, 0.004, 0, 0.0) == Approx(1));
}

TEST_CASE("triangle, exponential, exposure and spread agree with plain integration") {
  for (const EdgeShape& shape : {EdgeShape{0.006, 0}, EdgeShape{0.003, 0.002}}) {
    const double exposure = 0.0035;
    const double spread = 0.0015;
    for (double start = -0.006; start < 0.02; start += 0.0013) {
      double sum = 0;
      constexpr int kParts = 200;
      for (int i = 0; i < kParts; ++i) {
        for (int j = 0; j < kParts; ++j) {
          sum += step_share(
              shape, start + exposure * (i + 0.5) / kParts + spread * ((j + 0.5) / kParts - 0.5));
        }
      }
      CHECK(exposed_share(shape, exposure, spread, start) ==
            Approx(sum / kParts / kParts).margin(2e-5));
    }
  }
}

TEST_CASE("the table equals the closed form and can be inverted") {
  const EdgeShape shape{0.002, 0.003};
  const EdgeResponse response(shape, 0.004, 0.001);
  for (double start = -0.006; start < 0.03; start += 0.0003) {
    CHECK(response(start) == Approx(exposed_share(shape, 0.004, 0.001, start)).margin(1.2e-3));
  }
  for (const double share : {0.05, 0.3, 0.8}) {
    CHECK(response(response.start_of(share)) == Approx(share).margin(1e-6));
  }
}
