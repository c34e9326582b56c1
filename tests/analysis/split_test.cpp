#include "analysis/timing/split.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "harness/session/error.hpp"
#include "tests/analysis/simulated_session.hpp"
#include "tests/analysis/variation_bench.hpp"

using namespace thumblight;
using namespace thumblight::timing;
using Catch::Matchers::Contains;
using test::Bench;
using test::SimulatedSession;
using test::TruePress;

namespace {

Bench shared_bench() {
  Bench bench;
  bench.offset_s = -987'654.25;  // the recording counts from the host's own 0, far off
  bench.host_base_ns = 987'654'250'000'000;
  return bench;
}

bool warns_of(const Split& split, const std::string& code) {
  return std::any_of(split.warnings.begin(), split.warnings.end(),
                     [&](const onset::Warning& warning) { return warning.code == code; });
}

std::string text_of(const Split& split, const std::string& code) {
  for (const onset::Warning& warning : split.warnings) {
    if (warning.code == code) {
      return warning.text;
    }
  }
  return "";
}

bool has_flag(const PressSplit& press, const std::string& flag) {
  return std::find(press.flags.begin(), press.flags.end(), flag) != press.flags.end();
}

struct TrueMeans {
  double delivery_ms = 0;
  double screen_ms = 0;
  double display_ms = 0;
};

TrueMeans true_means(const std::vector<TruePress>& presses) {
  TrueMeans mean;
  const double weight = 1e3 / static_cast<double>(presses.size());
  for (const TruePress& press : presses) {
    mean.delivery_ms += (press.arrival_s - press.press_s) * weight;
    mean.screen_ms += (press.light_s - press.submit_s) * weight;
    mean.display_ms += (press.light_s - press.arrival_s) * weight;
  }
  return mean;
}

/// To a nanosecond: the corners may lie outside by that much.
bool contains(const std::optional<Bounds>& bounds, double value_ms) {
  return bounds && bounds->low_ms <= value_ms + 1e-5 && value_ms <= bounds->high_ms + 1e-5;
}

}  // namespace

TEST_CASE("on one clock every portion is true and they add up to a microsecond") {
  std::mt19937 random(1);
  const Bench bench = shared_bench();
  const std::vector<TruePress> truth = test::simulate(bench, random);
  const SimulatedSession session = test::observe(bench, truth);
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kShared);
  REQUIRE(split.presses.size() == truth.size());
  CHECK(split.warnings.empty());
  CHECK(split.flip_how == "submit");
  for (std::size_t k = 0; k < truth.size(); ++k) {
    const PortionValues& ms = split.presses[k].portions_ms;
    INFO("press " << k);
    // Seconds of 1e6 in a double are good to 1e-10 s.
    CHECK(*ms[Portion::kDelivery] ==
          Approx((truth[k].arrival_s - truth[k].press_s) * 1e3).margin(1e-5));
    CHECK(*ms[Portion::kRender] ==
          Approx((truth[k].submit_s - truth[k].arrival_s) * 1e3).margin(1e-5));
    CHECK(*ms[Portion::kScreen] ==
          Approx((truth[k].light_s - truth[k].submit_s) * 1e3).margin(1e-5));
    CHECK(*ms[Portion::kDisplay] ==
          Approx(*ms[Portion::kRender] + *ms[Portion::kScreen]).margin(1e-9));
    CHECK(std::abs(*ms[Portion::kTotal] - *ms[Portion::kDelivery] - *ms[Portion::kRender] -
                   *ms[Portion::kScreen]) < 1e-3);
    CHECK(*ms[Portion::kRemainder] ==
          Approx(*ms[Portion::kDelivery] + *ms[Portion::kScreen]).margin(1e-3));
  }
}

TEST_CASE("without a log there is the total alone") {
  std::mt19937 random(2);
  const SimulatedSession session = test::observe({}, test::simulate({}, random));
  const Split split = split_presses(session.timings, nullptr, ClockLinkKind::kNone);
  for (const PressSplit& press : split.presses) {
    for (const Portion portion : kPortions) {
      CHECK(press.portions_ms[portion].has_value() == (portion == Portion::kTotal));
    }
    CHECK(press.flags.empty());
  }
  CHECK(split.counts.logged == 0);
  CHECK_THROWS_WITH(split_presses(session.timings, nullptr, ClockLinkKind::kCausality),
                    Contains("--log"));
  CHECK_THROWS_WITH(split_presses({}, nullptr, ClockLinkKind::kNone), Contains("no press"));
}

TEST_CASE("a log without a clock link gives remainder and render, and no bound") {
  std::mt19937 random(3);
  Bench bench;
  const SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kNone);
  const PortionValues& ms = split.presses[7].portions_ms;
  CHECK(*ms[Portion::kRemainder] == Approx(*ms[Portion::kTotal] - *ms[Portion::kRender]));
  CHECK_FALSE(ms[Portion::kDelivery]);
  CHECK_FALSE(split.mean_bounds_ms[Portion::kScreen]);
}

TEST_CASE("causality: the bounds hold the truth in 300 sessions, whatever the clocks") {
  std::mt19937 random(4);
  std::uniform_real_distribution<double> rate(-0.0049, 0.0049);
  std::uniform_real_distribution<double> offset(-90000, 90000);
  std::uniform_real_distribution<double> delay_ms(0, 30);
  // The bench's light may come before a scan-out would have reached the patch.
  SplitBasis basis(ClockLinkKind::kCausality);
  basis.scan_out_prior = false;
  for (int trial = 0; trial < 300; ++trial) {
    Bench bench;
    bench.rate = trial % 3 == 0 ? 0 : rate(random);
    bench.offset_s = offset(random);
    bench.delivery_ms = delay_ms(random);
    bench.screen_ms = delay_ms(random);
    bench.frame_s = trial % 2 == 0 ? 1.0 / 240 : 0;
    const std::vector<TruePress> truth = test::simulate(bench, random);
    const SimulatedSession session = test::observe(bench, truth);
    const Split split = split_presses(session.timings, &session.log, basis);
    const TrueMeans mean = true_means(truth);
    INFO("trial " << trial);
    REQUIRE(split.clock_link.feasible == true);
    // A mean of 40 instants on frames is itself off by up to a frame; the widening covers it.
    CHECK(contains(split.mean_bounds_ms[Portion::kDelivery], mean.delivery_ms));
    CHECK(contains(split.mean_bounds_ms[Portion::kScreen], mean.screen_ms));
    CHECK(contains(split.mean_bounds_ms[Portion::kDisplay], mean.display_ms));
    CHECK_FALSE(split.presses[0].portions_ms[Portion::kDelivery]);
    CHECK(split.presses[0].portions_ms[Portion::kRemainder]);
    REQUIRE(split.clock_link.drift);
    CHECK(std::abs(split.clock_link.drift->rate_ppm - bench.rate * 1e6) <
          6 * split.clock_link.drift->u_ppm);
  }
}

// With a screen portion that is constant and no drift, screen <= least remainder, because
// delivery >= 0 at the press whose remainder is least. The design's plain bound.
TEST_CASE("causality: screen is no longer than the least remainder where it is constant") {
  std::mt19937 random(5);
  Bench bench;
  bench.presses = 200;
  bench.screen_jitter_ms = 0;
  const SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  timing::SplitBasis basis(ClockLinkKind::kCausality);
  basis.scan_out_prior = false;
  const Split split = split_presses(session.timings, &session.log, basis);
  double least_ms = 1e9;
  for (const PressSplit& press : split.presses) {
    least_ms = std::min(least_ms, *press.portions_ms[Portion::kRemainder]);
  }
  const Bounds screen = *split.mean_bounds_ms[Portion::kScreen];
  CHECK(screen.low_ms == Approx(0).margin(1e-3));
  // The rate is not known to be 0, so the polygon leaves a little more than the plain bound.
  CHECK(screen.high_ms >= least_ms - 1e-3);
  CHECK(screen.high_ms < least_ms + 1.0);
  CHECK(least_ms >= 20);
}

TEST_CASE("shifting the recording by hours changes no portion") {
  std::mt19937 random(6);
  Bench bench;
  bench.frame_s = 1.0 / 256;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  const Split before = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  for (onset::PressTiming& press : session.timings.presses) {
    press.press->t_s += 16384;
    press.light->t_s += 16384;
  }
  const Split after = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  REQUIRE(before.presses.size() == after.presses.size());
  for (std::size_t k = 0; k < before.presses.size(); ++k) {
    CHECK(*before.presses[k].portions_ms[Portion::kRemainder] ==
          Approx(*after.presses[k].portions_ms[Portion::kRemainder]).margin(1e-6));
  }
  for (const Portion portion : {Portion::kDelivery, Portion::kScreen, Portion::kDisplay}) {
    CHECK(before.mean_bounds_ms[portion]->low_ms ==
          Approx(after.mean_bounds_ms[portion]->low_ms).margin(1e-4));
    CHECK(before.mean_bounds_ms[portion]->high_ms ==
          Approx(after.mean_bounds_ms[portion]->high_ms).margin(1e-4));
  }
}

TEST_CASE("unstated uncertainties are warned of, stated ones widen the bounds") {
  std::mt19937 random(7);
  Bench bench;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  const Split exact = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  CHECK_FALSE(warns_of(exact, "uncertainty-unknown"));
  for (onset::PressTiming& press : session.timings.presses) {
    press.press->u_s = 0.001;
    press.light->u_s = 0.001;
  }
  const Split wide = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  CHECK(wide.mean_bounds_ms[Portion::kScreen]->high_ms ==
        Approx(exact.mean_bounds_ms[Portion::kScreen]->high_ms +
               1e3 * kWidening * 0.001 * (1 + 1 / std::sqrt(40.0)))
            .margin(0.2));
  CHECK(*wide.presses[0].u_ms[Portion::kTotal] == Approx(std::sqrt(2.0)));
  session.timings.presses[3].press->u_s.reset();
  const Split unknown = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  CHECK_THAT(text_of(unknown, "uncertainty-unknown"), Contains("press 3"));
  CHECK_FALSE(unknown.presses[3].u_ms[Portion::kTotal]);
}

TEST_CASE("presses that contradict each other empty the polygon and are named") {
  std::mt19937 random(8);
  Bench bench;
  bench.delivery_jitter_ms = 0;
  bench.render_jitter_ms = 0;
  bench.delivery_ms = 5;
  bench.screen_ms = 5;
  bench.screen_jitter_ms = 0;
  std::vector<TruePress> truth = test::simulate(bench, random);
  SimulatedSession session = test::observe(bench, truth);
  // Of press 12 both instants are marked 7 ms late, so its press comes after its arrival; of press
  // 13 both are 7 ms early, so its light comes before its submit. Each total stays true, and no
  // rate error turns the offset so far between two presses.
  for (const auto& [row, shift_s] : {std::pair{12, 0.007}, std::pair{13, -0.007}}) {
    session.timings.presses[static_cast<std::size_t>(row)].press->t_s += shift_s;
    session.timings.presses[static_cast<std::size_t>(row)].light->t_s += shift_s;
  }
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  CHECK(split.clock_link.feasible == false);
  CHECK_THAT(text_of(split, "clocks-contradict"),
             Contains("the light of press 13 and the arrival of press 12 disagree by 9."));
  for (const Portion portion : kPortions) {
    CHECK_FALSE(split.mean_bounds_ms[portion]);
  }
  CHECK(split.presses[12].portions_ms[Portion::kTotal]);
}

TEST_CASE("an effect before its cause is left out, flagged and named") {
  std::mt19937 random(9);
  const Bench bench = shared_bench();
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  session.timings.presses[4].press->t_s += 0.1;    // after its own light
  session.timings.presses[9].light->t_s -= 0.023;  // before its submit
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kShared);
  CHECK(has_flag(split.presses[4], flag::kLightBeforePress));
  CHECK_FALSE(split.presses[4].portions_ms[Portion::kTotal]);
  CHECK_FALSE(split.presses[4].portions_ms[Portion::kRemainder]);
  // Press 4 finds no partner and is there twice, once for each side, so the others move on by one.
  CHECK(split.presses[10].recorded_index == 9);
  CHECK(has_flag(split.presses[10], flag::kLightBeforeSubmit));
  CHECK_FALSE(split.presses[10].portions_ms[Portion::kScreen]);
  CHECK_FALSE(split.presses[10].portions_ms[Portion::kTotal]);
  CHECK(split.presses[10].portions_ms[Portion::kDelivery]);
  CHECK_THAT(text_of(split, "effect-before-cause"), Contains("presses 4 and 9"));
  CHECK(split.presses[6].portions_ms[Portion::kTotal]);
}

TEST_CASE("lights before the flips: the submits are taken for them, whatever the link") {
  // A display that shows a frame 1 ms after its submit, while the present call waits for a refresh.
  std::mt19937 random(21);
  SimulatedSession session = test::vary(shared_bench(), {}, random);
  for (onset::PressTiming& press : session.timings.presses) {
    press.light->t_s = press.press->t_s + 0.0053;
  }
  for (const ClockLinkKind kind : {ClockLinkKind::kShared, ClockLinkKind::kCausality}) {
    SplitBasis basis(kind);
    basis.scan_out_prior = false;  // such a display is no screen that is scanned out
    const Split split = split_presses(session.timings, &session.log, basis);
    CHECK(split.flip_how == "submit");
    CHECK_THAT(text_of(split, "light-before-flip"), Contains("the submit is taken for the flip"));
    CHECK(split.presses[5].flags.empty());
    CHECK(*split.presses[5].portions_ms[Portion::kRender] == Approx(0.3).margin(1e-5));
    CHECK(*split.presses[5].portions_ms[Portion::kRemainder] == Approx(5).margin(1e-5));
    if (kind == ClockLinkKind::kShared) {
      CHECK(*split.presses[5].portions_ms[Portion::kScreen] == Approx(1).margin(1e-3));
    } else {
      CHECK(contains(split.mean_bounds_ms[Portion::kScreen], 1));
    }
  }

  // A light that comes after its flip leaves them as they are.
  const SimulatedSession sound = test::vary(shared_bench(), {}, random);
  const Split split = split_presses(sound.timings, &sound.log, ClockLinkKind::kShared);
  CHECK(split.flip_how == "refresh");
  CHECK(text_of(split, "light-before-flip").empty());
}

TEST_CASE("a press that was not flashed has no light, and a light read there is left out") {
  std::mt19937 random(10);
  Bench bench;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  session.log.presses[5].flashed = false;
  session.log.presses[5].submit_ns.reset();
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  CHECK(has_flag(split.presses[5], flag::kNotFlashed));
  CHECK_FALSE(split.presses[5].portions_ms[Portion::kTotal]);
  CHECK_FALSE(split.presses[5].portions_ms[Portion::kRender]);
  CHECK_THAT(text_of(split, "light-without-flash"), Contains("press 5"));
}

TEST_CASE("presses of one side are kept, flagged and named") {
  std::mt19937 random(11);
  Bench bench;
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  session.log.presses.erase(session.log.presses.begin() + 7);
  session.timings.presses.erase(session.timings.presses.begin() + 20);
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  REQUIRE(split.presses.size() == 40);
  CHECK(has_flag(split.presses[7], flag::kNotInLog));
  CHECK_FALSE(split.presses[7].logged_index);
  CHECK(split.presses[7].portions_ms[Portion::kTotal]);
  CHECK_FALSE(split.presses[7].portions_ms[Portion::kRemainder]);
  CHECK(has_flag(split.presses[20], flag::kNotInRecording));
  CHECK(split.presses[20].logged_index == 20);
  CHECK(split.presses[20].portions_ms[Portion::kRender]);
  CHECK(split.counts.paired == 38);
  CHECK_THAT(text_of(split, "unpaired-presses"),
             Contains("press 7 of the recording; press 20 of the log"));
}

TEST_CASE("ambiguous pairing states the total and the render, and nothing that needs a pair") {
  std::mt19937 random(12);
  Bench bench;
  bench.least_gap_s = 1;
  bench.mean_further_gap_s = 0;
  const SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kCausality);
  CHECK(warns_of(split, "pairing-ambiguous"));
  CHECK(split.counts.paired == 0);
  CHECK_FALSE(split.clock_link.feasible);
  CHECK_FALSE(split.clock_link.drift);
  for (const PressSplit& press : split.presses) {
    CHECK_FALSE(press.portions_ms[Portion::kRemainder]);
    CHECK(press.portions_ms[Portion::kTotal].has_value() == press.recorded_index.has_value());
  }
}

TEST_CASE("an unfinished log is used and warned of") {
  std::mt19937 random(13);
  SimulatedSession session = test::observe({}, test::simulate({}, random));
  session.log.end.reset();
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kNone);
  CHECK(warns_of(split, "log-unfinished"));
  CHECK(split.counts.paired == 40);
}

TEST_CASE("one press, no light at all, an empty log, and a log with hostile times") {
  std::mt19937 random(14);
  Bench bench;
  bench.presses = 1;
  SimulatedSession one = test::observe(bench, test::simulate(bench, random));
  const Split split = split_presses(one.timings, &one.log, ClockLinkKind::kCausality);
  CHECK(warns_of(split, "pairing-unchecked"));
  CHECK(split.mean_bounds_ms[Portion::kDelivery]);
  one.timings.presses[0].light.reset();
  const Split dark = split_presses(one.timings, &one.log, ClockLinkKind::kCausality);
  CHECK(warns_of(dark, "no-total"));
  CHECK(warns_of(dark, "no-bounds"));
  CHECK(has_flag(dark.presses[0], flag::kLightNotSeen));
  one.log.presses.clear();
  CHECK(warns_of(split_presses(one.timings, &one.log, ClockLinkKind::kShared), "pairing-failed"));
  bench.presses = 20;
  SimulatedSession hostile = test::observe(bench, test::simulate(bench, random));
  hostile.log.presses.front().arrival_ns = INT64_MIN;
  hostile.log.presses.front().submit_ns = INT64_MAX;
  CHECK_THROWS_WITH(split_presses(hostile.timings, &hostile.log, ClockLinkKind::kCausality),
                    Contains("press 1 arrived before"));
  hostile.log.presses.resize(1);
  CHECK(split_presses(hostile.timings, &hostile.log, ClockLinkKind::kCausality).presses.size() >=
        20);
}

TEST_CASE("the link that is taken where none is asked for") {
  CHECK(default_clock_link({"host", {}, {}}, true) == ClockLinkKind::kShared);
  CHECK(default_clock_link({"stamps", {}, {}}, true) == ClockLinkKind::kCausality);
  CHECK(default_clock_link({"host", {}, {}}, false) == ClockLinkKind::kNone);
  for (const ClockLinkKind kind :
       {ClockLinkKind::kNone, ClockLinkKind::kCausality, ClockLinkKind::kShared}) {
    CHECK(clock_link_of(name(kind)) == kind);
  }
  CHECK_FALSE(clock_link_of("magic"));
}
