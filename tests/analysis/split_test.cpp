#include "analysis/timing/split.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/report/result.hpp"
#include "harness/session/error.hpp"
#include "tests/analysis/made_up_session.hpp"

using namespace thumblight;
using namespace thumblight::test;
using timing::ClockLinkKind;
using timing::Portion;
using timing::Split;

namespace {

constexpr double kMicrosecond_ms = 0.001;

const onset::Warning* find_warning(const Split& split, const std::string& code) {
  for (const onset::Warning& warning : split.warnings) {
    if (warning.code == code) {
      return &warning;
    }
  }
  return nullptr;
}

bool has_flag(const timing::PressSplit& press, const std::string& flag) {
  return std::find(press.flags.begin(), press.flags.end(), flag) != press.flags.end();
}

bool lies_within(const timing::Bounds& bounds, double value_ms) {
  return bounds.low_ms - 1e-5 <= value_ms && value_ms <= bounds.high_ms + 1e-5;
}

/// The true means of the presses that are flashed and seen on both sides, in milliseconds.
struct TrueMeans {
  double delivery_ms = 0;
  double render_ms = 0;
  double screen_ms = 0;
};

TrueMeans true_means(const std::vector<MadeUpPress>& presses) {
  TrueMeans mean;
  double n = 0;
  for (const MadeUpPress& press : presses) {
    if (press.flashed && press.in_log && press.in_recording) {
      mean.delivery_ms += press.delivery_s * 1e3;
      mean.render_ms += press.render_s * 1e3;
      mean.screen_ms += press.screen_s * 1e3;
      ++n;
    }
  }
  return {mean.delivery_ms / n, mean.render_ms / n, mean.screen_ms / n};
}

Split split(const MadeUpSession& made, ClockLinkKind kind = ClockLinkKind::kCausality) {
  return timing::split_presses(made.timings, &made.log, kind);
}

}  // namespace

TEST_CASE("on a shared clock the portions of each press add up to its total") {
  // A host that has run for eleven days: times of 1e15 ns, where doubles step by 0.125 ns.
  Dice dice(1);
  std::vector<MadeUpPress> presses = uneven_presses(40, dice);
  for (MadeUpPress& press : presses) {
    press.press_s += 1e6;
    press.screen_s = dice.between(0.005, 0.040);
  }
  const Split result = split(make_session(presses, {}), ClockLinkKind::kShared);
  REQUIRE(result.presses.size() == 40);
  CHECK(result.counts.paired == 40);
  for (std::size_t k = 0; k < presses.size(); ++k) {
    INFO("press " << k);
    const timing::PortionValues& ms = result.presses[k].portions_ms;
    const auto close = [](double value) {
      return Approx(value).margin(kMicrosecond_ms).epsilon(0);
    };
    CHECK(*ms[Portion::kTotal] ==
          close(*ms[Portion::kDelivery] + *ms[Portion::kRender] + *ms[Portion::kScreen]));
    CHECK(*ms[Portion::kDelivery] == close(presses[k].delivery_s * 1e3));
    CHECK(*ms[Portion::kRender] == close(presses[k].render_s * 1e3));
    CHECK(*ms[Portion::kScreen] == close(presses[k].screen_s * 1e3));
    CHECK(*ms[Portion::kDisplay] == close((presses[k].render_s + presses[k].screen_s) * 1e3));
    CHECK(*ms[Portion::kRemainder] == close((presses[k].delivery_s + presses[k].screen_s) * 1e3));
  }
  for (const Portion portion : timing::kPortions) {
    CHECK_FALSE(result.mean_bounds_ms[portion]);
  }
}

TEST_CASE("without a log the total is all that is known") {
  Dice dice(2);
  const std::vector<MadeUpPress> presses = uneven_presses(12, dice);
  const MadeUpSession made = make_session(presses, {});
  const Split result = timing::split_presses(made.timings, nullptr, ClockLinkKind::kNone);
  REQUIRE(result.presses.size() == 12);
  for (std::size_t k = 0; k < presses.size(); ++k) {
    const timing::PortionValues& ms = result.presses[k].portions_ms;
    const double true_ms =
        (presses[k].delivery_s + presses[k].render_s + presses[k].screen_s) * 1e3;
    CHECK(*ms[Portion::kTotal] == Approx(true_ms).margin(kMicrosecond_ms).epsilon(0));
    for (const Portion portion : timing::kPortions) {
      CHECK((portion == Portion::kTotal || !ms[portion]));
      CHECK_FALSE(result.mean_bounds_ms[portion]);
    }
    CHECK(result.presses[k].flags.empty());
  }
  CHECK_FALSE(result.clock_link.drift);
  CHECK_FALSE(result.clock_link.feasible);
}

TEST_CASE("a clock link without a log, and timings without a press, are refused") {
  Dice dice(2);
  const MadeUpSession made = make_session(uneven_presses(2, dice), {});
  CHECK_THROWS_WITH(timing::split_presses(made.timings, nullptr, ClockLinkKind::kShared),
                    Catch::Contains("session log"));
  CHECK_THROWS_WITH(timing::split_presses({}, &made.log, ClockLinkKind::kCausality),
                    Catch::Contains("no press"));
}

TEST_CASE("causality bounds the true means, and gives render and remainder press by press") {
  for (std::uint32_t trial = 0; trial < 200; ++trial) {
    INFO("trial " << trial);
    Dice dice(trial);
    std::vector<MadeUpPress> presses = uneven_presses(12 + dice.below(60), dice);
    const double steady_s = dice.between(0.002, 0.050);
    for (MadeUpPress& press : presses) {
      press.screen_s = steady_s + (trial % 3 == 0 ? 0 : dice.between(0, 0.016));
    }
    const double rate = trial % 2 == 0 ? 0 : dice.between(-0.005, 0.005);
    const MadeUpSession made = make_session(presses, {dice.between(-1e6, 1e6), rate});
    const Split result = split(made);
    REQUIRE(result.counts.paired == presses.size());
    REQUIRE(result.clock_link.feasible == true);
    const TrueMeans mean = true_means(presses);
    // Durations on either clock differ by the rate: 0.5 % of 100 ms at the most.
    const double doubt_ms = std::abs(rate) * 100 + 1e-5;
    CHECK(lies_within({result.mean_bounds_ms[Portion::kDelivery]->low_ms - doubt_ms,
                       result.mean_bounds_ms[Portion::kDelivery]->high_ms + doubt_ms},
                      mean.delivery_ms));
    CHECK(lies_within({result.mean_bounds_ms[Portion::kScreen]->low_ms - doubt_ms,
                       result.mean_bounds_ms[Portion::kScreen]->high_ms + doubt_ms},
                      mean.screen_ms));
    CHECK(lies_within({result.mean_bounds_ms[Portion::kDisplay]->low_ms - doubt_ms,
                       result.mean_bounds_ms[Portion::kDisplay]->high_ms + doubt_ms},
                      mean.render_ms + mean.screen_ms));
    for (std::size_t k = 0; k < presses.size(); ++k) {
      const timing::PortionValues& ms = result.presses[k].portions_ms;
      const double remainder_ms = (presses[k].delivery_s + presses[k].screen_s) * 1e3;
      CHECK(std::abs(*ms[Portion::kRender] - presses[k].render_s * 1e3) <= doubt_ms);
      CHECK(std::abs(*ms[Portion::kRemainder] - remainder_ms) <= doubt_ms);
      CHECK_FALSE(ms[Portion::kDelivery]);
      CHECK_FALSE(ms[Portion::kScreen]);
      CHECK_FALSE(ms[Portion::kDisplay]);
    }
  }
}

TEST_CASE("instants read off frames, with their uncertainty stated, keep the truth within bounds") {
  constexpr double kFrame_s = 1.0 / 240;
  for (std::uint32_t trial = 0; trial < 100; ++trial) {
    INFO("trial " << trial);
    Dice dice(trial + 5000);
    const std::vector<MadeUpPress> presses = uneven_presses(30, dice);
    MadeUpSession made = make_session(presses, {dice.between(-1e5, 1e5), dice.between(-1e-4, 1e-4)},
                                      kFrame_s / std::sqrt(12.0));
    for (onset::PressTiming& row : made.timings.presses) {
      row.press->t_s = std::round(row.press->t_s / kFrame_s) * kFrame_s;
      row.light->t_s = std::round(row.light->t_s / kFrame_s) * kFrame_s;
    }
    const Split result = split(made);
    REQUIRE(result.clock_link.feasible == true);
    const TrueMeans mean = true_means(presses);
    CHECK(lies_within(*result.mean_bounds_ms[Portion::kDelivery], mean.delivery_ms));
    CHECK(lies_within(*result.mean_bounds_ms[Portion::kScreen], mean.screen_ms));
  }
}

TEST_CASE("the mean screen portion is bounded by the least remainder") {
  // The press of the least remainder lies at the mean time, where a tilted clock changes nothing;
  // elsewhere the bound lies on the chord between two remainders.
  std::vector<MadeUpPress> presses(21);
  const std::vector<double> gaps_s = {0.7, 1.3, 0.9, 1.7, 0.6, 1.1, 1.5, 0.8, 1.2, 1.0};
  double away_s = 0;
  presses[10].press_s = 30;
  presses[10].delivery_s = 0.003;
  for (std::size_t k = 1; k <= 10; ++k) {
    away_s += gaps_s[k - 1];
    presses[10 - k].press_s = 30 - away_s;
    presses[10 + k].press_s = 30 + away_s;
    presses[10 - k].delivery_s = presses[10 + k].delivery_s =
        0.004 + 0.001 * static_cast<double>(k % 4);
  }
  const Split result = split(make_session(presses, {77, 0}));
  REQUIRE(result.counts.paired == 21);
  double least_ms = 1e9;
  for (const timing::PressSplit& press : result.presses) {
    least_ms = std::min(least_ms, *press.portions_ms[Portion::kRemainder]);
  }
  CHECK(least_ms == Approx(23).margin(kMicrosecond_ms).epsilon(0));
  // A clock at the largest rate error runs off by this much from a press to its light.
  const double tilt_ms = timing::kLargestRateError * 30;
  CHECK(result.mean_bounds_ms[Portion::kScreen]->high_ms <= least_ms + tilt_ms);
  CHECK(result.mean_bounds_ms[Portion::kScreen]->high_ms >= least_ms - tilt_ms);
}

TEST_CASE("a light before its submit under any offset is named, and nothing is bounded") {
  Dice dice(8);
  std::vector<MadeUpPress> presses = uneven_presses(30, dice);
  for (MadeUpPress& press : presses) {
    press.delivery_s = dice.between(0.005, 0.025);
    press.screen_s = 0.008;
  }
  // Press 15 arrives before its contact closes; its own light is late enough to hide that, but the
  // lights beside it do not.
  presses[15].delivery_s = -0.015;
  presses[15].screen_s = 0.030;
  const Split result = split(make_session(presses, {-300, 0}));
  REQUIRE(result.counts.paired == 30);
  CHECK(result.clock_link.feasible == false);
  const onset::Warning* warning = find_warning(result, "clocks-contradict");
  REQUIRE(warning != nullptr);
  CHECK_THAT(warning->text, Catch::Contains("the arrival of press 15 disagree by"));
  CHECK_THAT(warning->text, Catch::Contains("the light of press "));
  for (const Portion portion : timing::kPortions) {
    CHECK_FALSE(result.mean_bounds_ms[portion]);
  }
  for (const timing::PressSplit& press : result.presses) {
    CHECK_FALSE(press.portions_ms[Portion::kDelivery]);
    CHECK_FALSE(press.portions_ms[Portion::kScreen]);
  }
}

TEST_CASE("one press has neither a standard deviation nor an interval") {
  Dice dice(9);
  const MadeUpSession made = make_session(uneven_presses(1, dice), {});
  const ClockLinkKind kind = GENERATE(ClockLinkKind::kShared, ClockLinkKind::kCausality);
  const report::Result result = report::make_result(split(made, kind), made.timings, &made.log);
  const auto& total = result.portions[Portion::kTotal].summary;
  REQUIRE(total);
  CHECK(total->n == 1);
  CHECK_FALSE(total->sd);
  CHECK_FALSE(total->ci95);
  CHECK(total->mean == total->median);
}

TEST_CASE("a recording shifted as a whole gives the same result under causality") {
  const double shift_s = GENERATE(-2.0, 0.123456, 3600.0, 1e6);
  INFO(shift_s);
  Dice dice(10);
  const MadeUpSession made = make_session(uneven_presses(25, dice), {1000, 0.0002}, 0.0004);
  MadeUpSession moved = made;
  for (onset::PressTiming& row : moved.timings.presses) {
    row.press->t_s += shift_s;
    row.light->t_s += shift_s;
  }
  const Split a = split(made);
  const Split b = split(moved);
  REQUIRE(a.presses.size() == b.presses.size());
  const auto same = [](std::optional<double> x, std::optional<double> y) {
    return x.has_value() == y.has_value() && (!x || std::abs(*x - *y) <= 1e-5);
  };
  for (const Portion portion : timing::kPortions) {
    INFO(name(portion));
    const auto& here = a.mean_bounds_ms[portion];
    const auto& there = b.mean_bounds_ms[portion];
    REQUIRE(here.has_value() == there.has_value());
    if (here) {
      CHECK(same(here->low_ms, there->low_ms));
      CHECK(same(here->high_ms, there->high_ms));
    }
    for (std::size_t k = 0; k < a.presses.size(); ++k) {
      CHECK(same(a.presses[k].portions_ms[portion], b.presses[k].portions_ms[portion]));
    }
  }
  REQUIRE(a.clock_link.drift);
  CHECK(a.clock_link.drift->rate_ppm == Approx(b.clock_link.drift->rate_ppm).margin(1e-3));
  CHECK(a.warnings.size() == b.warnings.size());
}

TEST_CASE("the drift of the clocks follows from the lights") {
  const double rate = GENERATE(0.0, 1e-4, -0.004);
  Dice dice(12);
  const Split result = split(make_session(uneven_presses(40, dice), {5, rate}));
  REQUIRE(result.clock_link.drift);
  CHECK(result.clock_link.drift->n == 40);
  CHECK(result.clock_link.drift->rate_ppm == Approx(rate * 1e6).margin(1));
}

TEST_CASE("presses that were not flashed are kept and flagged") {
  Dice dice(13);
  std::vector<MadeUpPress> presses = uneven_presses(20, dice);
  presses[4].flashed = presses[11].flashed = false;
  MadeUpSession made = make_session(presses, {50, 0});
  SECTION("and have no light") {}
  SECTION("and their light, which no flash made, is left out") {
    made.timings.presses[11].light = instant(presses[11].press_s + 0.03, 0.0, "step");
  }
  const bool has_light = made.timings.presses[11].light.has_value();
  const Split result = split(made);
  REQUIRE(result.presses.size() == 20);
  CHECK(result.counts.paired == 20);
  for (const std::size_t k : {std::size_t{4}, std::size_t{11}}) {
    CHECK(has_flag(result.presses[k], timing::flag::kNotFlashed));
    CHECK_FALSE(result.presses[k].portions_ms[Portion::kTotal]);
    CHECK_FALSE(result.presses[k].portions_ms[Portion::kRender]);
  }
  CHECK(result.presses[5].flags.empty());
  CHECK((find_warning(result, "light-without-flash") != nullptr) == has_light);
  CHECK(lies_within(*result.mean_bounds_ms[Portion::kDelivery], true_means(presses).delivery_ms));
}

TEST_CASE("presses of one side alone are kept and flagged") {
  Dice dice(14);
  std::vector<MadeUpPress> presses = uneven_presses(20, dice);
  presses[3].in_log = false;
  presses[8].in_recording = false;
  const Split result = split(make_session(presses, {50, 0}));
  REQUIRE(result.presses.size() == 20);
  CHECK(has_flag(result.presses[3], timing::flag::kNotInLog));
  CHECK(result.presses[3].portions_ms[Portion::kTotal]);
  CHECK_FALSE(result.presses[3].portions_ms[Portion::kRemainder]);
  CHECK(has_flag(result.presses[8], timing::flag::kNotInRecording));
  CHECK(result.presses[8].portions_ms[Portion::kRender]);
  CHECK_FALSE(result.presses[8].portions_ms[Portion::kTotal]);
  CHECK(find_warning(result, "unpaired-presses") != nullptr);
}

TEST_CASE("an effect before its cause is flagged and left out") {
  Dice dice(15);
  MadeUpSession made = make_session(uneven_presses(20, dice), {});
  onset::PressTiming& row = made.timings.presses[6];
  row.light->t_s = row.press->t_s - 0.010;
  const ClockLinkKind kind = GENERATE(ClockLinkKind::kShared, ClockLinkKind::kCausality);
  const Split result = split(made, kind);
  CHECK(has_flag(result.presses[6], timing::flag::kLightBeforePress));
  CHECK_FALSE(result.presses[6].portions_ms[Portion::kTotal]);
  const onset::Warning* warning = find_warning(result, "effect-before-cause");
  REQUIRE(warning != nullptr);
  CHECK_THAT(warning->text, Catch::EndsWith("press 6"));
}
