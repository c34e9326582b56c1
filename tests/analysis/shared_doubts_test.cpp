#include "analysis/timing/shared_doubts.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/analysis/simulated_session.hpp"

using namespace thumblight;
using namespace thumblight::timing;

namespace {

/// A camera that reads from the top in 4 ms, give or take 1 ms, sees the lamp that ties the clocks
/// at 0.1 of the picture's height, the patch at 0.3 and the button at 0.7.
onset::RecordingInfo filmed() {
  onset::RecordingInfo recording;
  recording.shared = {
      {"readout", "press", 0.0007}, {"readout", "light", 0.0003}, {"readout", "lamp", 0.0001}};
  return recording;
}

double u_ms(const onset::RecordingInfo& recording, ClockLinkKind link, Portion portion) {
  double squares = 0;
  for (const SharedError& error : shared_errors(recording, link)[portion]) {
    squares += error.u_ms * error.u_ms;
  }
  return std::sqrt(squares);
}

}  // namespace

TEST_CASE("a readout that is off moves each portion by the rows between its two ends") {
  // Off by 1 ms, the rows at 0.1, 0.3 and 0.7 of the height are off by 0.1, 0.3 and 0.7 ms.
  for (const ClockLinkKind link :
       {ClockLinkKind::kNone, ClockLinkKind::kShared, ClockLinkKind::kLamp}) {
    CHECK(u_ms(filmed(), link, Portion::kTotal) == Approx(0.4));
    CHECK(u_ms(filmed(), link, Portion::kRemainder) == Approx(0.4));
    CHECK(u_ms(filmed(), link, Portion::kRender) == 0);
  }
  CHECK(u_ms(filmed(), ClockLinkKind::kShared, Portion::kDelivery) == Approx(0.7));
  CHECK(u_ms(filmed(), ClockLinkKind::kShared, Portion::kScreen) == Approx(0.3));
  CHECK(u_ms(filmed(), ClockLinkKind::kLamp, Portion::kDelivery) == Approx(0.6));
  CHECK(u_ms(filmed(), ClockLinkKind::kLamp, Portion::kDisplay) == Approx(0.2));
  CHECK(shared_doubts(filmed()).press_s == Approx(0.0004));
  CHECK(shared_doubts(filmed()).light_s == Approx(0.0004));
}

TEST_CASE("a press that was heard stands on no row, so all of the light's doubt is the total's") {
  onset::RecordingInfo heard;
  heard.shared = {{"readout", "light", 0.0003}, {"sound", "press", 0.0004}};
  CHECK(u_ms(heard, ClockLinkKind::kNone, Portion::kTotal) == Approx(0.5));
}

TEST_CASE("a doubt of the clocks' lamp falls on what lies across the clocks, where it ties them") {
  onset::RecordingInfo recording;
  recording.shared = {{"exposure", "lamp", 0.0002}};
  CHECK(u_ms(recording, ClockLinkKind::kLamp, Portion::kTotal) == 0);
  CHECK(u_ms(recording, ClockLinkKind::kLamp, Portion::kDelivery) == Approx(0.2));
  CHECK(u_ms(recording, ClockLinkKind::kLamp, Portion::kScreen) == Approx(0.2));
  CHECK(u_ms(recording, ClockLinkKind::kCausality, Portion::kDelivery) == 0);
  CHECK(shared_doubts(recording).press_s == 0);
}

TEST_CASE("timings that state the readout's doubt on the total are split as before") {
  onset::RecordingInfo recording;
  recording.shared = {{"readout", "total", 0.0004}};
  for (const Portion portion :
       {Portion::kTotal, Portion::kRemainder, Portion::kDelivery, Portion::kScreen}) {
    CHECK(u_ms(recording, ClockLinkKind::kShared, portion) == Approx(0.4));
  }
}

TEST_CASE("the readout's doubt is in no press's portion, for it is shared") {
  std::mt19937 random(3);
  test::SimulatedSession session = test::observe({}, test::simulate({}, random));
  session.timings.recording.shared = filmed().shared;
  for (onset::PressTiming& press : session.timings.presses) {
    press.press->u_s = std::hypot(0.0005, 0.0007);
    press.light->u_s = std::hypot(0.0012, 0.0003);
  }
  // Placed by hand, an instant is stated without it.
  session.timings.presses[0].press->u_s = 0.0005;
  session.timings.presses[0].press->passes = 1;
  const Split split = split_presses(session.timings, &session.log, ClockLinkKind::kNone);
  for (const PressSplit& press : split.presses) {
    REQUIRE(press.u_ms[Portion::kTotal]);
    CHECK(*press.u_ms[Portion::kTotal] == Approx(1.3));
  }
  REQUIRE(split.shared[Portion::kTotal].size() == 1);
  CHECK(split.shared[Portion::kTotal][0].source == "readout");
  CHECK(split.shared[Portion::kTotal][0].u_ms == Approx(0.4));
}
