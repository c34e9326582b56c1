#include "analysis/onset/like_times.hpp"

#include <catch2/catch.hpp>
#include <random>
#include <vector>

using namespace thumblight::onset;

namespace {

/// `alike` times close together, the others far off on both sides.
std::vector<double> some_alike(int alike, int others) {
  std::vector<double> all;
  for (int k = 0; k < alike; ++k) {
    all.push_back(0.2 + 0.002 * k);
  }
  for (int k = 0; k < others; ++k) {
    all.push_back(k % 2 == 0 ? 0.4 : 0.05);
  }
  return all;
}

}  // namespace

// The binomial tails are worked out by hand from C(n, k) p^k (1 - p)^(n - k), p = 0.18: of 12, 7 or
// more come together in 0.21 % of all cases, 8 or more in 0.03 %; 4 of 4 in 0.10 %, 3 of 3 in
// 0.58 %.
TEST_CASE("times are alike where chance would seldom bring so many together") {
  CHECK(are_alike(some_alike(8, 4), 0.04, 0.18));
  CHECK_FALSE(are_alike(some_alike(7, 5), 0.04, 0.18));
  CHECK(are_alike(some_alike(kFewestLikeTimes, 0), 0.04, 0.18));
  CHECK_FALSE(are_alike(some_alike(kFewestLikeTimes - 1, 0), 0.04, 0.18));
  CHECK_FALSE(are_alike({}, 0.04, 0.18));
}

TEST_CASE("where every time is near the middle one anyway, none tells anything") {
  CHECK_FALSE(are_alike(some_alike(40, 0), 0.1, 1));
  CHECK_FALSE(are_alike(some_alike(40, 0), 0.1, 2));
}

TEST_CASE("times drawn by chance hardly ever pass for alike") {
  // The middle one is drawn too, so a few more come together than about a place fixed beforehand.
  std::mt19937 engine(5);
  std::uniform_real_distribution<double> anywhere(0, 0.45);
  constexpr int kTries = 4000;
  int passed = 0;
  for (int k = 0; k < kTries; ++k) {
    std::vector<double> drawn(24);
    for (double& time_s : drawn) {
      time_s = anywhere(engine);
    }
    passed += are_alike(drawn, 0.04, 0.08 / 0.45) ? 1 : 0;
  }
  CHECK(passed < kTries / 100);
}
