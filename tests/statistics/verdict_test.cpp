#include "analysis/statistics/verdict.hpp"

#include "analysis/statistics/comparison.hpp"
#include "analysis/statistics/rounding.hpp"
#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;

namespace {

MeanDifference difference(double low, double high) {
  return {(low + high) / 2, 1, 20, 1, 0.01, {low, high, 0.95}};
}

}  // namespace

TEST_CASE("A clear difference is resolved, in milliseconds and in frames of 60 Hz") {
  const Verdict verdict = judge(difference(-14.1, -10.5), 0.5);
  CHECK(verdict.resolved());
  CHECK(*verdict.difference_ms == Approx(-12.3));
  CHECK(*verdict.difference_frames == Approx(-12.3 * 60 / 1000));
  CHECK(*verdict.uncertainty_ms == Approx(std::hypot(1.8, 0.5)));
  CHECK(sentence(verdict, "wired", "wireless") ==
        "wired answers 12.3 ms sooner than wireless (± 1.9 ms, 95 %): 0.74 frames of 60 Hz.");
  CHECK(sentence(judge(difference(10.5, 14.1), 0.5), "wired", "wireless") ==
        "wireless answers 12.3 ms sooner than wired (± 1.9 ms, 95 %): 0.74 frames of 60 Hz.");
}

TEST_CASE("A difference below the instruments' resolution is not called one") {
  const Verdict verdict = judge(difference(0.9, 1.1), 1.7);
  CHECK(verdict.reason == VerdictReason::kBelowResolution);
  CHECK_FALSE(verdict.resolved());
  CHECK(sentence(verdict, "A", "B") ==
        "Between A and B no difference is resolved: 1.0 ms is not more than the instruments leave "
        "open (± 1.7 ms, 95 %).");
}

TEST_CASE("Scatter and instruments join") {
  CHECK(judge(difference(-1, 3), 0).reason == VerdictReason::kWithinUncertainty);
  CHECK(judge(difference(0.1, 3.9), 0).resolved());
  // 2 stands against 1.9 of scatter and 1.9 of instruments: alone either is less, together more.
  CHECK(judge(difference(0.1, 3.9), 1.9).reason == VerdictReason::kWithinUncertainty);
}

TEST_CASE("Among many comparisons the adjusted probability decides") {
  CHECK(judge(difference(1, 3), 0, 0.06).reason == VerdictReason::kOneOfMany);
  CHECK(judge(difference(1, 3), 0, 0.04).resolved());
}

TEST_CASE("Too few presses, equal values and impossible resolutions") {
  const Verdict few = judge(std::nullopt, 1);
  CHECK_FALSE(few.resolved());
  CHECK_FALSE(few.difference_ms);
  CHECK(sentence(few, "A", "B") == "There are too few presses to compare A with B.");
  const std::vector<double> a(5, 50.0);
  const std::vector<double> b(5, 54.0);
  CHECK(judge(welch_difference(a, b), 4.2).reason == VerdictReason::kBelowResolution);
  CHECK(judge(welch_difference(a, a), 0).reason == VerdictReason::kBelowResolution);
  CHECK_THROWS_AS(judge(std::nullopt, -1), thumblight::Error);
}

TEST_CASE("Swapping the set-ups turns the verdict's sign and keeps its sentence's sense") {
  const std::vector<double> a{31, 35, 33, 30, 36};
  const std::vector<double> b{48, 52, 50, 47, 51};
  const Verdict forth = judge(compare(a, b).means, 0.5);
  const Verdict back = judge(compare(b, a).means, 0.5);
  CHECK(*forth.difference_ms == -*back.difference_ms);
  CHECK(sentence(forth, "A", "B") == sentence(back, "B", "A"));
}

TEST_CASE("A comparison of next to nothing has next to nothing") {
  const std::vector<double> none;
  const std::vector<double> one{12};
  const Comparison empty = compare(none, one);
  CHECK_FALSE(empty.means);
  CHECK_FALSE(empty.shift);
  CHECK_FALSE(empty.ranks);
  CHECK_FALSE(empty.a_faster);
  CHECK_FALSE(empty.spread);
  const Comparison single = compare(one, one);
  CHECK_FALSE(single.means);
  CHECK(single.shift->shift == 0);
  CHECK_FALSE(single.shift->best());
}

TEST_CASE("Digits follow the uncertainty") {
  CHECK(decimals_for(23) == 0);
  CHECK(decimals_for(2.3) == 1);
  CHECK(decimals_for(0.23) == 2);
  CHECK(decimals_for(0.00001) == 3);
  CHECK(decimals_for(4000) == 0);
  CHECK(decimals_for(0) == 3);
  CHECK(fixed(-0.004, 2) == "0.00");
  CHECK(fixed(12.345, 1) == "12.3");
  CHECK(fixed(-7, 0) == "-7");
}
