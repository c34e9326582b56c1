#include "analysis/timing/variation.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

#include "analysis/timing/split.hpp"
#include "tests/analysis/variation_bench.hpp"

using namespace thumblight;
using namespace thumblight::timing;
using test::Bench;
using test::Delays;
using test::SimulatedSession;

namespace {

bool warns_of_step(const Split& split) {
  return std::any_of(split.warnings.begin(), split.warnings.end(), [](const auto& warning) {
    return warning.code == "presses-in-step" && !warning.remedy.empty();
  });
}

Split split_of(const SimulatedSession& session, ClockLinkKind kind = ClockLinkKind::kNone) {
  return split_presses(session.timings, &session.log, kind);
}

double sd_of(const std::vector<OffsetFree>& presses, std::optional<double> OffsetFree::*member) {
  double squares = 0;
  double sum = 0;
  double n = 0;
  for (const OffsetFree& press : presses) {
    if (press.*member) {
      n += 1;
      sum += *(press.*member);
      squares += *(press.*member) * *(press.*member);
    }
  }
  return std::sqrt((squares - sum * sum / n) / (n - 2));
}

/// Press rows with nothing but a press and what it states of itself.
struct PressesAlone {
  explicit PressesAlone(const std::vector<double>& at_s) : timings(at_s.size()), rows(at_s.size()) {
    for (std::size_t k = 0; k < at_s.size(); ++k) {
      timings[k].press = onset::Instant{at_s[k], 0.0002, "mark", {}, {}, {}, {}, {}, {}};
      rows[k].recorded = &timings[k];
      rows[k].press_s = at_s[k];
    }
  }
  std::vector<onset::PressTiming> timings;
  std::vector<PressRow> rows;
};

RefreshGrid refresh_of(double period_s) {
  RefreshGrid refresh;
  refresh.grid.period_s = period_s;
  refresh.grid.u_period_s = 1e-9;
  return refresh;
}

}  // namespace

TEST_CASE("delivery and screen are known about their medians, whatever the clocks") {
  std::mt19937 random(1);
  Bench bench;
  bench.presses = 400;
  Delays delays;
  delays.delivery_ms = test::normal_ms(9, 3);
  delays.screen_ms = test::normal_ms(25, 0.5);
  for (const double rate : {0.0, 3e-5, -0.004}) {
    bench.rate = rate;
    const SimulatedSession session = test::vary(bench, delays, random);
    const Split split = split_of(session);
    REQUIRE(split.flip_how == "refresh");
    REQUIRE(split.variation->presses.size() == split.presses.size());
    CHECK(split.variation->fitted == 2);
    // Relative standard uncertainty of an SD from 400 values: 1 / sqrt(798), 3.5 %.
    CHECK(sd_of(split.variation->presses, &OffsetFree::delivery_ms) == Approx(3).epsilon(0.12));
    CHECK(sd_of(split.variation->presses, &OffsetFree::screen_ms) == Approx(0.5).epsilon(0.12));
    CHECK(split.variation->press_u_ms == 0.0);
  }
}

TEST_CASE("shifting the recording changes nothing that varies") {
  std::mt19937 random(2);
  Bench bench;
  bench.frame_s = 1.0 / 256;
  SimulatedSession session = test::vary(bench, {}, random);
  const Split before = split_of(session);
  for (onset::PressTiming& press : session.timings.presses) {
    press.press->t_s += 4096;
    press.light->t_s += 4096;
  }
  const Split after = split_of(session);
  for (std::size_t k = 0; k < before.variation->presses.size(); ++k) {
    CHECK(*before.variation->presses[k].delivery_ms ==
          Approx(*after.variation->presses[k].delivery_ms).margin(1e-6));
    CHECK(*before.variation->presses[k].screen_ms ==
          Approx(*after.variation->presses[k].screen_ms).margin(1e-6));
  }
  CHECK(*before.variation->press_u_ms == Approx(1e3 / 256 / std::sqrt(12.0)));
}

TEST_CASE("without pairs nothing is said to vary; without a log there is no variation") {
  std::mt19937 random(3);
  Bench bench;
  bench.least_gap_s = 1;
  bench.mean_further_gap_s = 0;
  const SimulatedSession metronome = test::observe(bench, test::simulate(bench, random));
  const Split split = split_of(metronome);
  REQUIRE(split.counts.paired == 0);
  for (const OffsetFree& press : split.variation->presses) {
    CHECK_FALSE(press.delivery_ms);
    CHECK_FALSE(press.screen_ms);
  }
  CHECK_FALSE(split.variation->press_u_ms);
  CHECK_FALSE(split_presses(metronome.timings, nullptr, ClockLinkKind::kNone).variation);
}

TEST_CASE("polling is seen in the arrivals, from 1000 Hz to 50 Hz") {
  std::mt19937 random(4);
  for (const double poll_s : {0.001, 0.002, 0.004, 0.0075, 0.008, 0.01125, 0.020}) {
    Delays delays;
    delays.poll_s = poll_s * (1 + 3e-5);
    const Split split = split_of(test::vary({}, delays, random));
    INFO(poll_s);
    REQUIRE(split.variation->arrivals);
    const PhaseGrid& grid = split.variation->arrivals->grid;
    CHECK(grid.period_s == Approx(delays.poll_s).epsilon(1e-6));
    CHECK(std::abs(grid.period_s - delays.poll_s) < 4 * grid.u_period_s + 1e-11);
    CHECK(split.variation->arrivals->maker == GridMaker::kInput);
  }
}

TEST_CASE("stamps that jitter about the polls by a twentieth of the interval still show them") {
  std::mt19937 random(5);
  std::normal_distribution<double> late(0, 0.0004);
  std::vector<double> events_s;
  double t_s = 0;
  for (int k = 0; k < 60; ++k) {
    t_s += 0.6 + std::exponential_distribution<double>(1.4)(random);
    events_s.push_back(test::grid_after(t_s, 0.008) + late(random));
  }
  const auto grid = find_fine_grid(events_s);
  REQUIRE(grid);
  CHECK(grid->period_s == Approx(0.008).epsilon(1e-4));
  CHECK(std::abs(grid->period_s - 0.008) < 4 * grid->u_period_s);
  CHECK(grid->chance < 1e-3);
}

TEST_CASE("arrivals that know of no grid seem to lie on one at most once in 500 sessions") {
  std::mt19937 random(6);
  int seen = 0;
  for (int session = 0; session < 500; ++session) {
    std::vector<double> events_s;
    double t_s = 0;
    for (int k = 0; k < 25 + session % 40; ++k) {
      t_s += 0.6 + std::exponential_distribution<double>(1.4)(random);
      events_s.push_back(t_s);
    }
    seen += find_fine_grid(events_s) ? 1 : 0;
  }
  std::cout << "arrival grids among 500 sessions without one: " << seen << '\n';
  CHECK(seen <= 1);
}

TEST_CASE("arrivals taken at the frame's start lie on the refresh, and are not called polled") {
  std::mt19937 random(7);
  Delays delays;
  delays.poll_s = test::kRefreshSeconds;
  const Split split = split_of(test::vary({}, delays, random));
  REQUIRE(split.refresh);
  REQUIRE(split.variation->arrivals);
  CHECK(split.variation->arrivals->maker == GridMaker::kRefresh);
  CHECK(split.variation->arrivals->grid.period_s == Approx(test::kRefreshSeconds).epsilon(1e-6));
}

TEST_CASE("a host clock of whole milliseconds is named as such") {
  std::mt19937 random(8);
  SimulatedSession session = test::vary({}, {}, random);
  for (session::Press& press : session.log.presses) {
    const auto whole = [](std::int64_t t_ns) { return (t_ns / 1'000'000) * 1'000'000; };
    press.arrival_ns = whole(press.arrival_ns);
    press.submit_ns = whole(*press.submit_ns);
    press.present_ns = whole(*press.present_ns);
  }
  const Split split = split_of(session);
  REQUIRE(split.variation->arrivals);
  CHECK(split.variation->arrivals->maker == GridMaker::kClock);
}

TEST_CASE("too few arrivals, arrivals at one instant, and arrivals years apart show no grid") {
  CHECK_FALSE(find_fine_grid({}));
  CHECK_FALSE(find_fine_grid(std::vector<double>(40, 2.0)));
  CHECK_FALSE(find_fine_grid({0, 1, 2, 3, 4, 5, 6, 7, 8, 9}));
  std::vector<double> years_apart;
  years_apart.reserve(40);
  for (int k = 0; k < 40; ++k) {
    years_apart.push_back(3e7 * k);
  }
  CHECK_FALSE(find_fine_grid(years_apart));
}

TEST_CASE("presses in step with the refresh are warned of, under any link") {
  std::mt19937 random(9);
  Delays delays;
  delays.in_step = true;
  delays.delivery_ms = test::normal_ms(6, 1);
  for (const double rate : {0.0, 2e-5}) {
    for (const ClockLinkKind kind : {ClockLinkKind::kNone, ClockLinkKind::kCausality}) {
      Bench bench;
      bench.rate = rate;
      bench.frame_s = rate > 0 ? 1.0 / 240 : 0;
      const Split split = split_of(test::vary(bench, delays, random), kind);
      REQUIRE(split.variation->press_phase);
      CHECK(split.variation->press_phase->closeness > 0.6);
      CHECK(warns_of_step(split));
    }
  }
  delays.in_step = false;
  const Split free = split_of(test::vary({}, delays, random));
  REQUIRE(free.variation->press_phase);
  CHECK_FALSE(warns_of_step(free));
}

TEST_CASE("random presses seem in step in at most 1 session of 500, presses in step always do") {
  std::mt19937 random(10);
  std::uniform_real_distribution<double> share(0, 1);
  const double period_s = 1 / 60.0;
  int alarms = 0;
  int found = 0;
  for (int seed = 0; seed < 1000; ++seed) {
    std::vector<double> free_s;
    std::vector<double> in_step_s;
    double t_s = 0;
    for (int k = 0; k < 10 + seed % 60; ++k) {
      t_s += 0.5 + share(random);
      free_s.push_back(t_s);
      in_step_s.push_back(test::grid_after(t_s, period_s) + 0.2 * period_s * share(random));
    }
    const auto is_in_step = [&](const std::vector<double>& at_s) {
      const PressesAlone presses(at_s);
      return find_press_phase(presses.rows, refresh_of(period_s), true, {})->is_in_step();
    };
    alarms += is_in_step(free_s) ? 1 : 0;
    found += is_in_step(in_step_s) ? 1 : 0;
  }
  std::cout << "presses in step: " << alarms << " of 1000 random sessions, " << found
            << " of 1000 in step\n";
  CHECK(alarms <= 2);
  CHECK(found == 1000);
}

// Critical values of Rayleigh's z = n R^2 at 0.05: 2.919 for n = 10, 2.986 for n = 50 (Zar,
// Biostatistical Analysis, table B.34; from memory).
TEST_CASE("Rayleigh's probability") {
  CHECK(rayleigh_chance(10, std::sqrt(2.919 / 10)) == Approx(0.05).epsilon(0.02));
  CHECK(rayleigh_chance(50, std::sqrt(2.986 / 50)) == Approx(0.05).epsilon(0.02));
  CHECK(rayleigh_chance(20, 0) == Approx(1));
}

TEST_CASE("whether presses are in step is not said where it cannot be known") {
  std::vector<double> at_s;
  at_s.reserve(12);
  for (int k = 0; k < 12; ++k) {
    at_s.push_back(k);
  }
  PressesAlone presses(at_s);
  const RefreshGrid refresh = refresh_of(1 / 60.0);
  CHECK(find_press_phase(presses.rows, refresh, true, {}));
  CHECK_FALSE(find_press_phase(presses.rows, {}, true, {}));
  CHECK_FALSE(find_press_phase(presses.rows, refresh, false, {}));
  // 200 ppm over 11 s are 2.2 ms, more than a tenth of a refresh.
  CHECK_FALSE(find_press_phase(presses.rows, refresh, false, Drift{0, 200, 12, 0}));
  CHECK(find_press_phase(presses.rows, refresh, false, Drift{0, 20, 12, 0}));
  // Frames as long as the refresh make any press seem in step.
  presses.timings[3].press->u_s = 0.020;
  CHECK_FALSE(find_press_phase(presses.rows, refresh, true, {}));
  presses.timings[3].press->u_s.reset();
  CHECK_FALSE(find_press_phase(presses.rows, refresh, true, {}));
  presses.rows.resize(9);
  CHECK_FALSE(find_press_phase(presses.rows, refresh, true, {}));
}
