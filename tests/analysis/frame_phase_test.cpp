#include "analysis/timing/frame_phase.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/report/result.hpp"
#include "analysis/timing/split.hpp"
#include "tests/analysis/variation_bench.hpp"

using namespace thumblight;
using namespace thumblight::timing;

namespace {

constexpr double kScreenMs = 20;

/// A counted film of a screen whose refresh takes `frames` of the camera's.
test::SimulatedSession film(double frames, unsigned seed, double screen_ms = kScreenMs) {
  std::mt19937 random(seed);
  test::Bench bench;
  bench.presses = 60;
  bench.offset_s = 0;
  bench.host_base_ns = 0;
  bench.frame_s = test::kRefreshSeconds / frames;
  test::Delays delays;
  delays.delivery_ms = test::normal_ms(9, 3);
  delays.screen_ms = [screen_ms](std::mt19937&) { return screen_ms; };
  test::SimulatedSession session = test::vary(bench, delays, random);
  session.timings.recording.clock.rate_hz = 1 / bench.frame_s;
  return session;
}

bool warns(const Split& split) {
  return std::any_of(split.warnings.begin(), split.warnings.end(),
                     [](const auto& warning) { return warning.code == "camera-in-step"; });
}

double shared_ms(const Split& split, Portion portion) {
  double squares = 0;
  for (const SharedError& error : split.shared[portion]) {
    if (error.source == "camera in step with the refresh") {
      squares += error.u_ms * error.u_ms;
    }
  }
  return std::sqrt(squares);
}

}  // namespace

TEST_CASE("the mean of a sawtooth over places m-fold spread evenly is one m-th of the sawtooth") {
  // Closed form: the mean of m sawteeth, each shifted by 1 / m, is a sawtooth of one m-th of the
  // height. The series is cut, so to a few per cent.
  CHECK(mean_of_sawtooth_sd(std::vector<double>(40, 0.3)) == Approx(1));
  for (const int m : {2, 3, 5}) {
    std::vector<double> turns;
    for (int k = 0; k < 100 * m; ++k) {
      turns.push_back(0.37 + static_cast<double>(k % m) / m);
    }
    CHECK(mean_of_sawtooth_sd(turns) == Approx(1.0 / m).epsilon(0.1));
  }
}

TEST_CASE("random places share next to nothing, and one place tells nothing") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> anywhere(0, 1);
  double worst = 0;
  for (int repeat = 0; repeat < 100; ++repeat) {
    std::vector<double> turns(50);
    std::generate(turns.begin(), turns.end(), [&] { return anywhere(random); });
    worst = std::max(worst, mean_of_sawtooth_sd(turns));
  }
  // As many errors at random would leave 1 / sqrt 50 = 0.14.
  CHECK(worst < 0.5);
  CHECK(mean_of_sawtooth_sd({0.4}) == 0);
  CHECK(mean_of_sawtooth_sd({}) == 0);
}

TEST_CASE("a camera at a multiple of the refresh reads every light with the same error") {
  const test::SimulatedSession session = film(4, 5);
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kShared);
  REQUIRE(split.flip_how == "refresh");
  REQUIRE(split.frame_phase);
  CHECK(split.frame_phase->is_in_step);
  CHECK(split.frame_phase->closeness > 0.9);
  CHECK(warns(split));
  const double frame_ms = 1e3 * test::kRefreshSeconds / 4;
  for (const Portion portion :
       {Portion::kTotal, Portion::kScreen, Portion::kDisplay, Portion::kRemainder}) {
    CHECK(shared_ms(split, portion) == Approx(frame_ms / std::sqrt(12.0)).epsilon(0.1));
  }
  CHECK(shared_ms(split, Portion::kDelivery) == 0);
  CHECK(shared_ms(split, Portion::kRender) == 0);
}

TEST_CASE("the interval of the screen holds the truth where the camera keeps step") {
  // Wherever within a frame the lights fall; by the scatter alone it would lie beside it.
  int held = 0;
  int held_by_scatter = 0;
  constexpr int kPlaces = 20;
  for (int place = 0; place < kPlaces; ++place) {
    const double screen_ms =
        kScreenMs + 1e3 * test::kRefreshSeconds / 4 * place / static_cast<double>(kPlaces);
    const test::SimulatedSession session = film(4, 7, screen_ms);
    const report::Result result =
        report::make_result(split_presses(session.timings, &session.log, ClockLinkKind::kShared),
                            session.timings, &session.log);
    const report::PortionResult& screen = result.portions[Portion::kScreen];
    REQUIRE(screen.mean_interval);
    // Flips are told in the middle of the 0.2 ms by which presents return late.
    const auto holds = [&](double half_width) {
      return std::abs(screen.summary->mean - screen_ms) <= half_width + 0.1;
    };
    held += holds(screen.mean_interval->half_width()) ? 1 : 0;
    held_by_scatter +=
        holds(2 * *screen.summary->sd / std::sqrt(static_cast<double>(screen.summary->n))) ? 1 : 0;
  }
  CHECK(held >= 18);
  CHECK(held_by_scatter < 10);
}

TEST_CASE("a camera out of step spreads its errors, and a finer reading is not bound by frames") {
  const test::SimulatedSession out = film(4.13, 5);
  const Split spread = split_presses(out.timings, &out.log, ClockLinkKind::kShared);
  REQUIRE(spread.frame_phase);
  CHECK_FALSE(spread.frame_phase->is_in_step);
  CHECK_FALSE(warns(spread));
  test::SimulatedSession fine = film(4, 5);
  for (onset::PressTiming& press : fine.timings.presses) {
    press.light->u_s = 0.0001;
  }
  CHECK_FALSE(split_presses(fine.timings, &fine.log, ClockLinkKind::kShared).frame_phase);
  test::SimulatedSession untold = film(4, 5);
  untold.timings.recording.clock.rate_hz.reset();
  CHECK_FALSE(split_presses(untold.timings, &untold.log, ClockLinkKind::kShared).frame_phase);
}
