#include "analysis/timing/pairing.hpp"

#include <algorithm>
#include <catch2/catch.hpp>

#include "analysis/timing/clock_link.hpp"
#include "harness/session/error.hpp"
#include "tests/analysis/simulated_session.hpp"

using namespace thumblight;
using namespace thumblight::timing;
using test::Bench;
using test::SimulatedSession;

namespace {

const SpacingLimits kUnknownClocks{kLargestRateError, std::nullopt};

Pairing pair(const SimulatedSession& session, const SpacingLimits& limits = kUnknownClocks) {
  Timebase base;
  if (!session.log.presses.empty()) {
    base.host_ns = session.log.presses.front().arrival_ns;
  }
  if (limits.offset_s) {
    base = Timebase::shared(session.timings.presses.front().press->t_s);
  }
  return pair_presses(session.log.presses, session.timings.presses, base, limits);
}

std::size_t wrong_pairs(const SimulatedSession& session, const Pairing& pairing) {
  return static_cast<std::size_t>(
      std::count_if(pairing.pairs.begin(), pairing.pairs.end(), [&](const Pair& pair) {
        return session.log.presses[pair.logged].index !=
               session.timings.presses[pair.recorded].index;
      }));
}

/// How many presses are on both sides.
std::size_t common_presses(const SimulatedSession& session) {
  std::size_t common = 0;
  for (const session::Press& press : session.log.presses) {
    common += std::count_if(session.timings.presses.begin(), session.timings.presses.end(),
                            [&](const auto& timing) { return timing.index == press.index; });
  }
  return common;
}

template <typename List>
void keep_only(List& list, const std::vector<bool>& kept) {
  List left;
  for (std::size_t k = 0; k < list.size(); ++k) {
    if (kept[k]) {
      left.push_back(list[k]);
    }
  }
  list = left;
}

std::vector<bool> random_drops(std::size_t count, double share, std::mt19937& random) {
  std::bernoulli_distribution drop(share);
  std::vector<bool> kept(count);
  for (std::size_t k = 0; k < count; ++k) {
    kept[k] = !drop(random);
  }
  return kept;
}

void drop_run(std::vector<bool>& kept, std::size_t first, std::size_t count) {
  std::fill_n(kept.begin() + static_cast<std::ptrdiff_t>(first), count, false);
}

}  // namespace

TEST_CASE("random presses are missing on either side: no wrong pair in 1000 sessions") {
  std::mt19937 random(20260301);
  std::uniform_real_distribution<double> rate(-0.005, 0.005);
  std::uniform_real_distribution<double> offset(-5000, 5000);
  std::uniform_real_distribution<double> share(0, 0.4);
  std::uniform_int_distribution<std::size_t> count(12, 60);
  std::size_t paired = 0;
  std::size_t possible = 0;
  for (int trial = 0; trial < 1000; ++trial) {
    Bench bench;
    bench.presses = count(random);
    bench.rate = rate(random);
    bench.offset_s = offset(random);
    bench.frame_s = trial % 2 == 0 ? 1.0 / 240 : 0;
    SimulatedSession session = test::observe(bench, test::simulate(bench, random));
    keep_only(session.log.presses, random_drops(bench.presses, share(random), random));
    keep_only(session.timings.presses, random_drops(bench.presses, share(random), random));
    const Pairing pairing = pair(session);
    INFO("trial " << trial << ", presses " << bench.presses << ", rate " << bench.rate);
    CHECK(wrong_pairs(session, pairing) == 0);
    paired += pairing.pairs.size();
    possible += common_presses(session);
  }
  INFO(paired << " of " << possible << " possible pairs");
  CHECK(static_cast<double>(paired) > 0.97 * static_cast<double>(possible));
}

TEST_CASE("long runs of presses are missing: the camera started late, a hand was in the way") {
  std::mt19937 random(7);
  for (const double rate : {-0.005, 0.0, 0.00002, 0.005}) {
    Bench bench;
    bench.presses = 120;
    bench.rate = rate;
    SimulatedSession session = test::observe(bench, test::simulate(bench, random));
    std::vector<bool> recorded(120, true);
    drop_run(recorded, 0, 30);
    drop_run(recorded, 60, 20);
    std::vector<bool> in_log(120, true);
    drop_run(in_log, 95, 25);
    keep_only(session.timings.presses, recorded);
    keep_only(session.log.presses, in_log);
    const Pairing pairing = pair(session);
    INFO("rate " << rate);
    CHECK(pairing.certainty == Certainty::kClear);
    CHECK(wrong_pairs(session, pairing) == 0);
    CHECK(pairing.pairs.size() == common_presses(session));
  }
}

TEST_CASE("extra presses on either side find no partner") {
  std::mt19937 random(11);
  Bench bench;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  // A second contact a quarter of a second after press 10, which the log does not know.
  onset::PressTiming extra = session.timings.presses[10];
  extra.press->t_s += 0.25;
  extra.light.reset();
  extra.index = 1000;
  session.timings.presses.insert(session.timings.presses.begin() + 11, extra);
  // And one that the camera did not see, unflashed because the patch was lit.
  session::Press unflashed = session.log.presses[20];
  unflashed.arrival_ns += 130'000'000;
  unflashed.flashed = false;
  unflashed.submit_ns.reset();
  unflashed.index = 2000;
  session.log.presses.insert(session.log.presses.begin() + 21, unflashed);
  const Pairing pairing = pair(session);
  CHECK(wrong_pairs(session, pairing) == 0);
  CHECK(pairing.pairs.size() == bench.presses);
}

TEST_CASE("one shaken press does not shift the later ones, and its light still pairs it") {
  std::mt19937 random(3);
  Bench bench;
  std::vector<test::TruePress> presses = test::simulate(bench, random);
  for (double* t_s : {&presses[15].arrival_s, &presses[15].submit_s, &presses[15].light_s}) {
    *t_s += 0.2;
  }
  const SimulatedSession session = test::observe(bench, presses);
  const Pairing pairing = pair(session);
  REQUIRE(pairing.pairs.size() == bench.presses);
  CHECK(wrong_pairs(session, pairing) == 0);
  CHECK(pairing.pairs[15].by == PairedBy::kLight);
  CHECK(pairing.pairs[16].by == PairedBy::kPress);
}

TEST_CASE("a row without its press pairs by its light, a row without either stays alone") {
  std::mt19937 random(5);
  Bench bench;
  bench.rate = 0.003;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  for (const std::size_t row : {0, 8, 9, 39}) {
    session.timings.presses[row].press.reset();
  }
  session.timings.presses[20].press.reset();
  session.timings.presses[20].light.reset();
  const Pairing pairing = pair(session);
  CHECK(wrong_pairs(session, pairing) == 0);
  CHECK(pairing.pairs.size() == bench.presses - 1);
  const auto by_light = std::count_if(pairing.pairs.begin(), pairing.pairs.end(),
                                      [](const Pair& p) { return p.by == PairedBy::kLight; });
  CHECK(by_light == 4);
}

TEST_CASE("a light that fits no submit is not paired by force") {
  std::mt19937 random(5);
  Bench bench;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  session.timings.presses[8].press.reset();
  session.timings.presses[8].light->t_s += 0.15;
  const Pairing pairing = pair(session);
  CHECK(pairing.pairs.size() == bench.presses - 1);
  CHECK(wrong_pairs(session, pairing) == 0);
}

TEST_CASE("shifting the recording and swapping the sides change nothing but the names") {
  std::mt19937 random(13);
  Bench bench;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  keep_only(session.log.presses, random_drops(bench.presses, 0.2, random));
  keep_only(session.timings.presses, random_drops(bench.presses, 0.2, random));
  const Pairing plain = pair(session);
  SimulatedSession shifted = session;
  for (onset::PressTiming& press : shifted.timings.presses) {
    press.press->t_s += 77777;
    press.light->t_s += 77777;
  }
  const Pairing after = pair(shifted);
  REQUIRE(plain.pairs.size() == after.pairs.size());
  for (std::size_t k = 0; k < plain.pairs.size(); ++k) {
    CHECK(plain.pairs[k].logged == after.pairs[k].logged);
    CHECK(plain.pairs[k].recorded == after.pairs[k].recorded);
  }
  std::vector<double> host_s;
  std::vector<double> recording_s;
  for (const session::Press& press : session.log.presses) {
    host_s.push_back(static_cast<double>(press.arrival_ns - bench.host_base_ns) * 1e-9);
  }
  for (const onset::PressTiming& press : session.timings.presses) {
    recording_s.push_back(press.press->t_s);
  }
  const SpacingFit there = fit_spacing(host_s, recording_s);
  const SpacingFit back = fit_spacing(recording_s, host_s);
  REQUIRE(there.matches.size() == back.matches.size());
  REQUIRE_FALSE(there.matches.empty());
  for (std::size_t k = 0; k < there.matches.size(); ++k) {
    CHECK(there.matches[k].logged == back.matches[k].recorded);
    CHECK(there.matches[k].recorded == back.matches[k].logged);
  }
}

TEST_CASE("a metronome's spacing is ambiguous, and nothing is paired") {
  std::mt19937 random(17);
  for (const std::size_t count : {4, 12, 60, 400}) {
    Bench bench;
    bench.presses = count;
    bench.least_gap_s = 1;
    bench.mean_further_gap_s = 0;
    SimulatedSession session = test::observe(bench, test::simulate(bench, random));
    INFO(count << " presses");
    CHECK(pair(session).certainty == Certainty::kAmbiguous);
    CHECK(pair(session).pairs.empty());
    session.timings.presses.erase(session.timings.presses.begin());
    CHECK(pair(session).certainty == Certainty::kAmbiguous);
  }
}

TEST_CASE("a rhythm that repeats after a few presses is ambiguous too") {
  std::vector<double> host_s;
  double now_s = 0;
  for (int k = 0; k < 60; ++k) {
    host_s.push_back(now_s);
    now_s += k % 3 == 0 ? 0.7 : k % 3 == 1 ? 1.1 : 1.9;
  }
  std::vector<double> recording_s(host_s.begin() + 6, host_s.end() - 6);
  CHECK(fit_spacing(host_s, recording_s).certainty == Certainty::kAmbiguous);
}

TEST_CASE("a hand that presses about once a second is uneven enough") {
  std::mt19937 random(19);
  for (int trial = 0; trial < 50; ++trial) {
    Bench bench;
    bench.presses = 30;
    bench.least_gap_s = 1;
    bench.mean_further_gap_s = 0;
    bench.gap_jitter_s = 0.06;
    SimulatedSession session = test::observe(bench, test::simulate(bench, random));
    std::vector<bool> kept(30, true);
    drop_run(kept, 0, static_cast<std::size_t>(trial % 5));
    keep_only(session.timings.presses, kept);
    const Pairing pairing = pair(session);
    INFO("trial " << trial);
    CHECK(pairing.certainty == Certainty::kClear);
    CHECK(wrong_pairs(session, pairing) == 0);
    CHECK(pairing.pairs.size() == common_presses(session));
  }
}

TEST_CASE("on one clock a metronome is no problem, nor is a single press") {
  std::mt19937 random(23);
  Bench bench;
  bench.presses = 200;
  bench.least_gap_s = 0.5;
  bench.mean_further_gap_s = 0;
  bench.offset_s = 0;
  bench.host_base_ns = 0;
  const SpacingLimits shared{0, kDeliveryOnOneClockSeconds};
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  session.log.presses.erase(session.log.presses.begin(), session.log.presses.begin() + 3);
  session.timings.presses.erase(session.timings.presses.begin() + 50);
  const Pairing pairing = pair(session, shared);
  CHECK(pairing.certainty == Certainty::kClear);
  CHECK(wrong_pairs(session, pairing) == 0);
  CHECK(pairing.pairs.size() == 196);
  bench.presses = 1;
  const SimulatedSession single = test::observe(bench, test::simulate(bench, random));
  CHECK(pair(single, shared).pairs.size() == 1);
  CHECK(pair(single, shared).certainty == Certainty::kClear);
}

TEST_CASE("few presses: unchecked where both sides agree, refused where they do not") {
  std::mt19937 random(29);
  Bench bench;
  bench.presses = 1;
  SimulatedSession one = test::observe(bench, test::simulate(bench, random));
  CHECK(pair(one).certainty == Certainty::kUnchecked);
  CHECK(pair(one).pairs.size() == 1);
  bench.presses = 5;
  SimulatedSession five = test::observe(bench, test::simulate(bench, random));
  CHECK(pair(five).certainty == Certainty::kClear);
  CHECK(pair(five).pairs.size() == 5);
  five.timings.presses.resize(1);
  CHECK(pair(five).certainty == Certainty::kAmbiguous);
  CHECK(pair(five).pairs.empty());
}

TEST_CASE("nothing on one side, or another session altogether") {
  std::mt19937 random(31);
  Bench bench;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  SimulatedSession other = test::observe(bench, test::simulate(bench, random));
  other.log = session.log;
  CHECK(pair(other).pairs.empty());
  session.log.presses.clear();
  CHECK(pair(session).certainty == Certainty::kFailed);
  session.timings.presses.clear();
  CHECK(pair(session).certainty == Certainty::kFailed);
}

TEST_CASE("a log out of order is refused by the press's number") {
  std::mt19937 random(37);
  Bench bench;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  std::swap(session.log.presses[4], session.log.presses[9]);
  CHECK_THROWS_AS(pair(session), Error);
  CHECK_THROWS_WITH(pair(session), Catch::Matchers::Contains("press 5 arrived before"));
}

TEST_CASE("fifty thousand presses over a day pair, though the clocks wander") {
  std::mt19937 random(41);
  Bench bench;
  bench.presses = 50'000;
  bench.rate = 0.001;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  for (onset::PressTiming& press : session.timings.presses) {
    const double wander_s = 0.2 * std::sin(press.press->t_s / 9000);
    press.press->t_s += wander_s;
    press.light->t_s += wander_s;
  }
  keep_only(session.log.presses, random_drops(bench.presses, 0.05, random));
  keep_only(session.timings.presses, random_drops(bench.presses, 0.05, random));
  const Pairing pairing = pair(session);
  CHECK(wrong_pairs(session, pairing) == 0);
  CHECK(static_cast<double>(pairing.pairs.size()) > 0.89 * 50'000);
}

TEST_CASE("events that cannot be told apart end in no pair and no endless search") {
  const std::vector<double> same(3000, 1.0);
  CHECK(fit_spacing(same, same).certainty != Certainty::kClear);
  std::vector<double> dense;
  for (int k = 0; k < 20'000; ++k) {
    dense.push_back(1e-9 * k);
  }
  const std::vector<double> sparse = {0, 1, 2.5, 3.1, 4.7, 6};
  CHECK(fit_spacing(dense, sparse).certainty != Certainty::kClear);
  CHECK(fit_spacing(sparse, dense).certainty != Certainty::kClear);
  CHECK(fit_spacing(dense, dense).certainty != Certainty::kClear);
}

TEST_CASE("on one clock a press whose arrival and light are both late pairs by its place") {
  std::mt19937 random(8);
  Bench bench;
  bench.offset_s = 0;
  bench.host_base_ns = 0;
  std::vector<test::TruePress> presses = test::simulate(bench, random);
  for (const std::size_t late : {std::size_t{12}, presses.size() - 1}) {
    presses[late].arrival_s += 0.1;
    presses[late].submit_s += 0.1;
    presses[late].light_s += 0.4;
  }
  const SimulatedSession session = test::observe(bench, presses);
  const SpacingLimits shared{0, kDeliveryOnOneClockSeconds};
  const Timebase base = Timebase::shared(0);
  const Pairing pairing = pair_presses(session.log.presses, session.timings.presses, base, shared);
  REQUIRE(pairing.pairs.size() == bench.presses);
  CHECK(wrong_pairs(session, pairing) == 0);
  CHECK(pairing.pairs[12].by == PairedBy::kOrder);
  CHECK(pairing.pairs.back().by == PairedBy::kOrder);
  // Clocks that nothing ties let it be a press that was not logged and one that was not seen.
  CHECK(pair_presses(session.log.presses, session.timings.presses, base, {}).pairs.size() ==
        bench.presses - 2);
}

TEST_CASE("a press that a game took much sooner than the others pairs by its place on any clocks") {
  std::mt19937 random(9);
  Bench bench;
  bench.delivery_ms = 16;
  bench.delivery_jitter_ms = 1;
  std::vector<test::TruePress> presses = test::simulate(bench, random);
  // Its light comes with the same frame, so that light and submit are as far apart as any.
  presses[7].arrival_s -= 0.015;
  presses[7].submit_s -= 0.015;
  presses[7].light_s -= 0.015;
  const SimulatedSession session = test::observe(bench, presses);
  const Pairing pairing = pair(session);
  REQUIRE(pairing.pairs.size() == bench.presses);
  CHECK(wrong_pairs(session, pairing) == 0);
  CHECK(pairing.pairs[7].by == PairedBy::kOrder);

  // Its light was not seen: its place between its neighbours is all that is left.
  SimulatedSession dark = session;
  dark.timings.presses[7].light.reset();
  const Pairing by_place = pair(dark);
  REQUIRE(by_place.pairs.size() == bench.presses);
  CHECK(by_place.pairs[7].by == PairedBy::kOrder);
  // Further off than a game's two frames it may be another press.
  dark.timings.presses[7].press->t_s += 0.03;
  CHECK(pair(dark).pairs.size() == bench.presses - 1);
}
