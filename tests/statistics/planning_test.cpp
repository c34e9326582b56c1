#include "analysis/statistics/planning.hpp"

#include <cmath>

#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;

TEST_CASE("Power and sample size as R's documentation of power.t.test prints them (from memory)") {
  CHECK(power_to_tell_apart({.sd_ms = 1}, 1, 20) == Approx(0.8689528).margin(5e-8));
  CHECK(presses_to_tell_apart({.sd_ms = 1}, 1, 0.90) == 23);  // 22.02110 prints there
  CHECK(power_to_tell_apart({.sd_ms = 1}, 1, 22) < 0.90);
}

TEST_CASE("Cohen's table 2.4.1: 80 % power for a medium and a large effect (from memory)") {
  CHECK(presses_to_tell_apart({.sd_ms = 1}, 0.5, 0.80) == 64);
  CHECK(presses_to_tell_apart({.sd_ms = 1}, 0.8, 0.80) == 26);
}

TEST_CASE("Presses for a wanted half-width, by table G.2 of JCGM 100:2008") {
  // t(17) 2.109816 / sqrt 18 = 0.4973; t(16) 2.119905 / sqrt 17 = 0.5142.
  CHECK(planned_half_width_ms({.sd_ms = 1}, 18) ==
        Approx(2.109816 / std::sqrt(18.0)).epsilon(1e-6));
  CHECK(presses_for_half_width({.sd_ms = 1}, 0.5) == 18);
  for (const double wanted : {0.05, 0.21, 1.0, 3.0, 50.0}) {
    const auto n = presses_for_half_width({.sd_ms = 4.8}, wanted);
    REQUIRE(n);
    CHECK(planned_half_width_ms({.sd_ms = 4.8}, *n) <= wanted);
    CHECK((*n == 2 || planned_half_width_ms({.sd_ms = 4.8}, *n - 1) > wanted));
  }
}

TEST_CASE("Scatter foreseen from rates") {
  // 1.70103 ms at 240 images a second, 4.81125 ms at 60 Hz, 0.28868 ms for a poll of 1 ms:
  // theory, and simulated beforehand.
  CHECK(*predicted_sd_ms({.camera_hz = 240.0}) == Approx(1.70103).margin(5e-6));
  CHECK(*predicted_sd_ms({.refresh_hz = 60.0}) == Approx(4.81125).margin(5e-6));
  CHECK(*predicted_sd_ms({.poll_interval_ms = 1.0}) == Approx(0.28868).margin(5e-6));
  CHECK(*predicted_sd_ms({.camera_hz = 240.0, .refresh_hz = 60.0, .poll_interval_ms = 8.0}) ==
        Approx(std::sqrt(1.701035 * 1.701035 + 4.811252 * 4.811252 + 2.309401 * 2.309401)));
  CHECK(*predicted_sd_ms({.camera_hz = 240.0, .pilot_sd_ms = 6.5}) == 6.5);
  CHECK_FALSE(predicted_sd_ms({}));
  CHECK_THROWS_AS(predicted_sd_ms({.camera_hz = 0.0}), thumblight::Error);
  CHECK_THROWS_AS(predicted_sd_ms({.pilot_sd_ms = -1.0}), thumblight::Error);
}

TEST_CASE("Number of presses and detectable difference are each other's inverse") {
  for (const std::size_t n : {2UL, 5UL, 40UL, 400UL, 20'000UL}) {
    CAPTURE(n);
    const PlanBasis basis{.sd_ms = 5.2};
    const double detectable = detectable_difference_ms(basis, n, 0.9);
    CHECK(power_to_tell_apart(basis, detectable, n) == Approx(0.9).epsilon(1e-9));
    CHECK(presses_to_tell_apart(basis, detectable * (1 + 1e-9), 0.9) == n);
  }
}

TEST_CASE("What no number of presses removes stays in the plan") {
  const PlanBasis basis{.sd_ms = 5, .lasting_u_ms = 1};
  CHECK_FALSE(presses_for_half_width(basis, 1.9));
  CHECK(presses_for_half_width(basis, 2.5));
  CHECK(*presses_for_half_width(basis, 2.5) > *presses_for_half_width({.sd_ms = 5}, 2.5));
  CHECK_FALSE(presses_to_tell_apart(basis, 1.9));
  CHECK(*presses_to_tell_apart(basis, 3) > *presses_to_tell_apart({.sd_ms = 5}, 3));
  CHECK(detectable_difference_ms(basis, 100'000) > 1.95);
  CHECK(detectable_difference_ms({.sd_ms = 0, .lasting_u_ms = 1}, 10) ==
        Approx(1.95996).margin(5e-6));
}

TEST_CASE("Beside a lasting part the power is that of the threshold which judge sets") {
  // A lasting part of next to nothing: Boost's noncentral t is the other way to the same number.
  for (const std::size_t n : {2UL, 3UL, 10UL, 500UL, 20'000UL}) {
    for (const double difference_ms : {0.1, 1.0, 3.0}) {
      CAPTURE(n, difference_ms);
      CHECK(power_to_tell_apart({.sd_ms = 1, .lasting_u_ms = 1e-12}, difference_ms, n) ==
            Approx(power_to_tell_apart({.sd_ms = 1}, difference_ms, n)).margin(1e-6));
    }
  }
  // One that is nearly all of it: half of the differences pass where they equal it, whatever the
  // presses say of their scatter; for 0.9 it takes 1.281552 standard errors more (normal).
  const PlanBasis lasting{.sd_ms = 0.001, .lasting_u_ms = 1};
  CHECK(power_to_tell_apart(lasting, 1.959963985, 10) == Approx(0.5).margin(0.01));
  CHECK(detectable_difference_ms(lasting, 10) ==
        Approx(1.959963985 + 1.281552 * 0.001 * std::sqrt(2.0 / 10)).margin(1e-5));
}

TEST_CASE("Plans at their ends") {
  CHECK(presses_for_half_width({.sd_ms = 0}, 0.1) == 2);
  CHECK(presses_to_tell_apart({.sd_ms = 0}, 0.1) == 2);
  CHECK(presses_to_tell_apart({.sd_ms = 0.001}, 500) == 2);
  CHECK_FALSE(presses_for_half_width({.sd_ms = 100}, 0.01));
  CHECK_FALSE(presses_to_tell_apart({.sd_ms = 100}, 0.01));
  CHECK(power_to_tell_apart({.sd_ms = 5}, 0, 30) == Approx(0.05));
  CHECK(power_to_tell_apart({.sd_ms = 1e-300, .lasting_u_ms = 1}, 3, 30) == 1);
  CHECK(power_to_tell_apart({.sd_ms = 0.001, .lasting_u_ms = 10}, 0.004, 30) ==
        Approx(0).margin(1e-9));
  CHECK_THROWS_AS(planned_half_width_ms({.sd_ms = 5}, 1), thumblight::Error);
  CHECK_THROWS_AS(presses_for_half_width({.sd_ms = 5}, 0), thumblight::Error);
  CHECK_THROWS_AS(presses_to_tell_apart({.sd_ms = 5}, -1), thumblight::Error);
  CHECK_THROWS_AS(presses_to_tell_apart({.sd_ms = 5}, 1, 1.0), thumblight::Error);
  CHECK_THROWS_AS(presses_for_half_width({.sd_ms = std::nan("")}, 1), thumblight::Error);
}
