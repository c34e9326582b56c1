#include "harness/run/flash_limiter.hpp"

#include <catch2/catch.hpp>
#include <random>
#include <vector>

#include "harness/run/clock.hpp"

using thumblight::harness::counts_as_flash;
using thumblight::harness::FlashLimiter;
using thumblight::harness::kMillisecond_ns;
using thumblight::harness::kSecond_ns;
using thumblight::harness::relative_luminance;

namespace {

/// Asks for a flash whenever one may come and gives the moments of all transitions.
std::vector<std::int64_t> transitions_of_greedy_presses(std::int64_t seed, int asks) {
  std::mt19937_64 random(static_cast<std::uint64_t>(seed));
  FlashLimiter limiter;
  std::vector<std::int64_t> transitions_ns;
  std::int64_t now_ns = kSecond_ns;
  for (int ask = 0; ask < asks; ++ask) {
    now_ns += static_cast<std::int64_t>(random() % (100 * kMillisecond_ns));
    if (limiter.allows(now_ns)) {
      limiter.lit(now_ns);
      transitions_ns.push_back(now_ns);
      now_ns += 1 + static_cast<std::int64_t>(random() % (400 * kMillisecond_ns));
      limiter.darkened(now_ns);
      transitions_ns.push_back(now_ns);
    }
  }
  return transitions_ns;
}

}  // namespace

// WCAG 2.2, technique G19: a page fails with more than six transitions within a second.
TEST_CASE("no second holds more than six transitions, whatever is pressed") {
  for (std::int64_t seed = 1; seed <= 20; ++seed) {
    const auto transitions_ns = transitions_of_greedy_presses(seed, 2000);
    REQUIRE(transitions_ns.size() > 100);
    for (std::size_t i = 6; i < transitions_ns.size(); ++i) {
      CHECK(transitions_ns[i] - transitions_ns[i - 6] > kSecond_ns);
    }
  }
}

// WCAG 2.2, G19: exactly three flashes in a second pass only if the state at the end is that of the
// start. Counted from a dark state, the sixth transition returns to dark.
TEST_CASE("three flashes pass and the fourth waits for the second to end") {
  FlashLimiter limiter;
  std::int64_t now_ns = 0;
  for (int flash = 0; flash < 3; ++flash) {
    CHECK(limiter.allows(now_ns));
    limiter.lit(now_ns);
    limiter.darkened(now_ns + 100 * kMillisecond_ns);
    now_ns += 200 * kMillisecond_ns;
  }
  CHECK_FALSE(limiter.allows(now_ns));
  // The first flash ended at 100 ms: a second later it is out of every window, plus the margin.
  CHECK_FALSE(limiter.allows(1100 * kMillisecond_ns));
  CHECK(limiter.allows(1150 * kMillisecond_ns));
}

TEST_CASE("slow presses are never withheld") {
  FlashLimiter limiter;
  for (std::int64_t now_ns = 0; now_ns < 60 * kSecond_ns; now_ns += 400 * kMillisecond_ns) {
    CHECK(limiter.allows(now_ns));
    limiter.lit(now_ns);
    limiter.darkened(now_ns + 100 * kMillisecond_ns);
  }
}

// WCAG 2.2, definition of the general flash threshold, and sRGB levels of IEC 61966-2-1; the values
// of grey 89, 230 and 231 and of the 8-bit codes were computed from those formulas.
TEST_CASE("which grey levels make a flash") {
  CHECK(relative_luminance(0) == 0.0);
  CHECK(relative_luminance(255) == 1.0);
  CHECK(relative_luminance(10) == Approx(0.0030352698).epsilon(1e-7));
  CHECK(relative_luminance(11) == Approx(0.0033465358).epsilon(1e-7));
  CHECK(relative_luminance(128) == Approx(0.2158605001).epsilon(1e-7));
  CHECK(relative_luminance(89) == Approx(0.09990).margin(5e-6));
  CHECK(relative_luminance(230) == Approx(0.79130).margin(5e-6));
  CHECK(relative_luminance(231) == Approx(0.79910).margin(5e-6));

  CHECK(counts_as_flash(0, 255));
  CHECK(counts_as_flash(255, 0));
  CHECK_FALSE(counts_as_flash(0, 89));  // just under a tenth
  CHECK(counts_as_flash(0, 90));
  CHECK_FALSE(counts_as_flash(232, 255));  // the darker is not below 0.8
  CHECK_FALSE(counts_as_flash(7, 7));
}
