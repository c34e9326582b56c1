#include "analysis/timing/pairing.hpp"

#include <catch2/catch.hpp>

#include "analysis/timing/split.hpp"
#include "harness/session/error.hpp"
#include "tests/analysis/made_up_session.hpp"

using namespace thumblight;
using namespace thumblight::test;
using timing::Certainty;

namespace {

timing::Pairing pair(const MadeUpSession& made) {
  timing::Timebase base;
  if (!made.timings.presses.empty()) {
    base = timing::Timebase::shared(made.timings.presses.front().press->t_s);
  }
  if (!made.log.presses.empty()) {
    base.host_ns = made.log.presses.front().arrival_ns;
  }
  return timing::pair_presses(made.log.presses, made.timings.presses, base,
                              {timing::kLargestRateError, std::nullopt});
}

/// Pairs counted against the truth.
struct Tally {
  std::size_t right = 0;
  std::size_t wrong = 0;
  std::size_t pairable = 0;
};

Tally tally(const MadeUpSession& made, const timing::Pairing& pairing,
            const std::vector<MadeUpPress>& presses) {
  Tally counts;
  for (const timing::Pair& found : pairing.pairs) {
    const bool is_right = made.logged.at(found.logged) == made.recorded.at(found.recorded);
    ++(is_right ? counts.right : counts.wrong);
  }
  for (const MadeUpPress& press : presses) {
    counts.pairable += press.in_log && press.in_recording ? 1 : 0;
  }
  return counts;
}

Tally tally(const std::vector<MadeUpPress>& presses, const MadeUpClocks& clocks) {
  const MadeUpSession made = make_session(presses, clocks);
  return tally(made, pair(made), presses);
}

/// Takes presses off one side or the other: single ones, and up to twelve in a row.
void lose_some(std::vector<MadeUpPress>& presses, Dice& dice) {
  for (MadeUpPress& press : presses) {
    press.in_log = !dice.chance(0.05);
    press.in_recording = !dice.chance(0.05);
  }
  const auto lose_row = [&](bool MadeUpPress::*side) {
    const std::size_t first = dice.below(presses.size());
    const std::size_t end = std::min(presses.size(), first + dice.below(13));
    for (std::size_t k = first; k < end; ++k) {
      presses[k].*side = false;
    }
  };
  if (dice.chance(0.5)) {
    lose_row(&MadeUpPress::in_log);
  }
  if (dice.chance(0.5)) {
    lose_row(&MadeUpPress::in_recording);
  }
}

/// Beats as even as a metronome's, to the millisecond.
std::vector<MadeUpPress> even_presses(std::size_t count, Dice& dice) {
  std::vector<MadeUpPress> presses = uneven_presses(count, dice);
  for (std::size_t k = 0; k < count; ++k) {
    presses[k].press_s = 2.5 + static_cast<double>(k) + dice.between(-0.001, 0.001);
  }
  return presses;
}

bool has_warning(const timing::Split& split, const std::string& code) {
  return std::any_of(split.warnings.begin(), split.warnings.end(),
                     [&](const onset::Warning& warning) { return warning.code == code; });
}

}  // namespace

TEST_CASE("of a thousand random sessions not one press is paired with a wrong one") {
  Tally sum;
  for (std::uint32_t trial = 0; trial < 1000; ++trial) {
    Dice dice(trial);
    std::vector<MadeUpPress> presses = uneven_presses(20 + dice.below(60), dice);
    const double jitter_s = dice.between(0, 0.040);
    for (MadeUpPress& press : presses) {
      press.delivery_s = 0.002 + dice.between(0, jitter_s);
    }
    presses[dice.below(presses.size())].delivery_s += dice.chance(0.5) ? 0.2 : 0;
    lose_some(presses, dice);
    const MadeUpClocks clocks{dice.between(-1e6, 1e6), dice.between(-0.005, 0.005)};
    const Tally counts = tally(presses, clocks);
    INFO("trial " << trial << ": " << counts.right << " of " << counts.pairable);
    CHECK(counts.wrong == 0);
    sum.right += counts.right;
    sum.pairable += counts.pairable;
  }
  INFO(sum.right << " of " << sum.pairable);
  CHECK(static_cast<double>(sum.right) >= 0.95 * static_cast<double>(sum.pairable));
}

TEST_CASE("one shaken press shifts no other") {
  const std::size_t shaken = GENERATE(0U, 1U, 14U, 28U, 29U);
  const double by_s = GENERATE(0.2, -0.2);
  Dice dice(7);
  const std::vector<MadeUpPress> presses = uneven_presses(30, dice);
  MadeUpSession made = make_session(presses, {-4e5, 0.003});
  SECTION("its arrival is late") {
    if (by_s < 0) {
      return;
    }
    const auto late_ns = static_cast<std::int64_t>(by_s * 1e9);
    made.log.presses[shaken].arrival_ns += late_ns;
    *made.log.presses[shaken].submit_ns += late_ns;
    made.timings.presses[shaken].light->t_s += by_s;
  }
  SECTION("its mark in the recording is off") {
    made.timings.presses[shaken].press->t_s += by_s;
  }
  const timing::Pairing pairing = pair(made);
  const Tally counts = tally(made, pairing, presses);
  CHECK(counts.wrong == 0);
  CHECK(counts.right >= 29);
}

TEST_CASE("presses missing in a row at either end or in the middle are left alone") {
  const std::size_t first = GENERATE(0U, 10U, 20U);
  const bool in_log = GENERATE(false, true);
  Dice dice(11);
  std::vector<MadeUpPress> presses = uneven_presses(40, dice);
  for (std::size_t k = first; k < first + 20; ++k) {
    (in_log ? presses[k].in_log : presses[k].in_recording) = false;
  }
  const Tally counts = tally(presses, {123456.789, -0.005});
  CHECK(counts.wrong == 0);
  CHECK(counts.right == 20);
}

TEST_CASE("two different sessions are not paired") {
  for (std::uint32_t trial = 0; trial < 50; ++trial) {
    INFO("trial " << trial);
    Dice dice(trial);
    MadeUpSession made = make_session(uneven_presses(30, dice), {});
    made.log = make_session(uneven_presses(30, dice), {}).log;
    CHECK(pair(made).pairs.empty());
  }
}

TEST_CASE("beats of a metronome are not paired by their spacing") {
  Dice dice(3);
  std::vector<MadeUpPress> presses = even_presses(24, dice);
  presses[0].in_recording = GENERATE(true, false);
  const MadeUpSession made = make_session(presses, {5000, 0.0001});
  CHECK(pair(made).certainty == Certainty::kAmbiguous);
  const timing::Split split =
      timing::split_presses(made.timings, &made.log, timing::ClockLinkKind::kCausality);
  CHECK(has_warning(split, "pairing-ambiguous"));
  CHECK(split.counts.paired == 0);
  for (const timing::Portion portion : timing::kPortions) {
    INFO(name(portion));
    CHECK_FALSE(split.mean_bounds_ms[portion]);
    for (const timing::PressSplit& press : split.presses) {
      CHECK((!press.portions_ms[portion] || portion == timing::Portion::kTotal ||
             portion == timing::Portion::kRender));
    }
  }
}

TEST_CASE("beats of a metronome are paired on a shared clock") {
  Dice dice(3);
  std::vector<MadeUpPress> presses = even_presses(24, dice);
  presses[0].in_recording = GENERATE(true, false);
  const MadeUpSession made = make_session(presses, {});
  const timing::Split split =
      timing::split_presses(made.timings, &made.log, timing::ClockLinkKind::kShared);
  CHECK_FALSE(has_warning(split, "pairing-ambiguous"));
  CHECK(split.counts.paired == made.timings.presses.size());
  for (const timing::PressSplit& press : split.presses) {
    if (press.recorded_index && press.logged_index) {
      CHECK(made.recorded.at(static_cast<std::size_t>(*press.recorded_index)) ==
            made.logged.at(static_cast<std::size_t>(*press.logged_index)));
    }
  }
}

TEST_CASE("nothing on one side or on both gives no pairs") {
  Dice dice(1);
  const MadeUpSession some = make_session(uneven_presses(5, dice), {});
  MadeUpSession made = some;
  SECTION("no log") {
    made.log.presses.clear();
  }
  SECTION("no recording") {
    made.timings.presses.clear();
  }
  SECTION("neither") {
    made = {};
  }
  const timing::Pairing pairing = pair(made);
  CHECK(pairing.pairs.empty());
  CHECK(pairing.certainty == Certainty::kFailed);
}

TEST_CASE("one press on each side, or two, are paired unchecked") {
  const std::size_t count = GENERATE(1U, 2U);
  Dice dice(2);
  const std::vector<MadeUpPress> presses = uneven_presses(count, dice);
  const MadeUpSession made = make_session(presses, {1e5, 0.001});
  const timing::Pairing pairing = pair(made);
  CHECK(pairing.certainty == Certainty::kUnchecked);
  CHECK(tally(made, pairing, presses).right == count);
}

TEST_CASE("one press cannot be told among several") {
  Dice dice(2);
  std::vector<MadeUpPress> presses = uneven_presses(4, dice);
  presses[0].in_recording = presses[1].in_recording = presses[2].in_recording = false;
  const timing::Pairing pairing = pair(make_session(presses, {}));
  CHECK(pairing.pairs.empty());
  CHECK(pairing.certainty == Certainty::kAmbiguous);
}

TEST_CASE("five thousand presses are paired") {
  Dice dice(5);
  std::vector<MadeUpPress> presses = uneven_presses(5000, dice);
  lose_some(presses, dice);
  const Tally counts = tally(presses, {-7e5, 0.0004});
  CHECK(counts.wrong == 0);
  CHECK(static_cast<double>(counts.right) >= 0.95 * static_cast<double>(counts.pairable));
}

TEST_CASE("a log out of order is refused with the press at fault") {
  Dice dice(6);
  MadeUpSession made = make_session(uneven_presses(5, dice), {});
  std::swap(made.log.presses[2].arrival_ns, made.log.presses[3].arrival_ns);
  CHECK_THROWS_WITH(pair(made), Catch::Contains("press 3 arrived before"));
}
