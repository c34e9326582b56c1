#include "harness/run/run.hpp"

#include <catch2/catch.hpp>

#include "tests/harness/fake_world.hpp"

using namespace thumblight;
using namespace thumblight::test;
using harness::PacingKind;

namespace {

constexpr int kOtherKey = 20;

/// Taps at moments that drift through the refresh, 0.6 s apart; gives them.
std::vector<std::int64_t> tap_often(FakeWorld& world, int taps) {
  std::vector<std::int64_t> moments_ns;
  for (int tap = 0; tap < taps; ++tap) {
    const std::int64_t moment_ns = 2 * kSecond_ns + tap * (600 * kMillisecond_ns + 1'234'567);
    world.input.tap(moment_ns, world.settings.control);
    moments_ns.push_back(moment_ns);
  }
  return moments_ns;
}

std::string text_of(const harness::Page& page) {
  std::string text;
  for (const harness::TextLine& line : page.lines) {
    text += line.text + "\n";
  }
  return text;
}

}  // namespace

TEST_CASE("in every pacing each press is logged once and lights the next frame that is drawn") {
  const auto pacing =
      GENERATE(PacingKind::kOnPress, PacingKind::kEveryFrame, PacingKind::kFrameStart);
  const bool vsync = GENERATE(true, false);
  if (!vsync && pacing == PacingKind::kFrameStart) {
    return;  // it free-runs, and a clock that moves only by drawing would need millions of frames
  }
  CAPTURE(harness::name_of(pacing), vsync);
  FakeWorld world(vsync);
  world.settings.pacing = pacing;
  world.settings.presses_wanted = 30;
  const auto moments_ns = tap_often(world, 30);
  const harness::RunSummary summary = world.run();

  CHECK(summary.reason == "completed");
  CHECK(summary.presses == 30);
  CHECK(summary.flashed == 30);
  REQUIRE(world.log.log.presses.size() == 30);
  REQUIRE(world.log.log.darks.size() == 30);
  for (std::size_t i = 0; i < 30; ++i) {
    const session::Press& press = world.log.log.presses[i];
    const session::Dark& dark = world.log.log.darks[i];
    CHECK(press.index == static_cast<std::int64_t>(i));
    CHECK(press.arrival_ns >= moments_ns[i]);
    CHECK(*press.submit_ns >= press.arrival_ns);
    CHECK(*press.present_ns >= *press.submit_ns);
    CHECK(dark.index == press.index);
    CHECK(dark.submit_ns >= *press.submit_ns + world.settings.hold_ns);
    // The frame with that number is the first bright one, and the one before it was dark.
    const auto frame = static_cast<std::size_t>(*press.frame);
    CHECK(world.screen.frames.at(frame - 1).level == 255);
    CHECK(world.screen.frames.at(frame - 2).level == 0);
    CHECK(world.screen.frames.at(frame - 1).times.submit_ns == *press.submit_ns);
    CHECK(world.screen.frames.at(static_cast<std::size_t>(dark.frame) - 1).level == 0);
  }
  CHECK(world.log.log.end->reason == "completed");
  CHECK(world.log.log.end->presses == 30);
}

TEST_CASE("on-press stamps at once and draws at once") {
  FakeWorld world;
  world.settings.presses_wanted = 20;
  const auto moments_ns = tap_often(world, 20);
  world.run();
  for (std::size_t i = 0; i < 20; ++i) {
    const session::Press& press = world.log.log.presses[i];
    CHECK(press.arrival_ns == moments_ns[i]);
    CHECK(*press.submit_ns == moments_ns[i] + world.screen.draw_ns);
  }
  CHECK_FALSE(world.log.log.paces.at(0).missed.has_value());
  CHECK_FALSE(world.log.log.paces.at(0).interval.has_value());
}

TEST_CASE("every-frame stamps at once but for the end of a refresh and makes the next refresh") {
  FakeWorld world;
  world.settings.pacing = PacingKind::kEveryFrame;
  world.settings.presses_wanted = 40;
  const auto moments_ns = tap_often(world, 40);
  world.run();
  // What is left out of each refresh: the margin of 1 ms, drawing, and the thousandth that creeps.
  const std::int64_t blind_ns = 1'000'000 + 2 * world.screen.draw_ns + 16'000;
  for (std::size_t i = 0; i < 40; ++i) {
    const session::Press& press = world.log.log.presses[i];
    CHECK(press.arrival_ns - moments_ns[i] <= blind_ns);
    CHECK(*press.present_ns - press.arrival_ns <= world.screen.interval_ns + blind_ns);
  }
  CHECK(world.log.log.paces.at(0).missed == 0);
  CHECK(world.log.log.paces.at(0).interval->median_ns == Approx(16'000'000).margin(10'000));
}

TEST_CASE("frame-start stamps up to a refresh late: what an ordinary loop adds") {
  FakeWorld world;
  world.settings.pacing = PacingKind::kFrameStart;
  world.settings.presses_wanted = 40;
  const auto moments_ns = tap_often(world, 40);
  world.run();
  std::vector<std::int64_t> lags_ns;
  for (std::size_t i = 0; i < 40; ++i) {
    lags_ns.push_back(world.log.log.presses[i].arrival_ns - moments_ns[i]);
    CHECK(lags_ns.back() >= 0);
    CHECK(lags_ns.back() <= world.screen.interval_ns);
  }
  CHECK(*harness::median_of(lags_ns) > 4 * kMillisecond_ns);
}

TEST_CASE("a frame that takes too long is counted as missed") {
  FakeWorld world;
  world.settings.pacing = PacingKind::kFrameStart;
  world.screen.draw_ns = 17 * kMillisecond_ns;  // longer than a refresh
  world.input.tap(2 * kSecond_ns, key(kOtherKey));
  world.run();
  CHECK(*world.log.log.paces.at(0).missed > 20);
  CHECK(world.log.log.paces.at(0).interval->median_ns == Approx(32'000'000).margin(10'000));
}

TEST_CASE("a press while the patch is lit or rests is logged and does not flash") {
  FakeWorld world(false);
  world.settings.presses_wanted = 2;
  const std::int64_t start_ns = 2 * kSecond_ns;
  world.input.tap(start_ns, key(44));
  world.input.tap(start_ns + 100 * kMillisecond_ns, key(44));  // lit until 150
  world.input.tap(start_ns + 300 * kMillisecond_ns, key(44));  // rests until 450
  world.input.tap(start_ns + 500 * kMillisecond_ns, key(44));
  const harness::RunSummary summary = world.run();
  CHECK(summary.presses == 4);
  CHECK(summary.flashed == 2);
  // The log holds them in the order in which they were complete.
  std::vector<std::string> withheld;
  for (const session::Press& press : world.log.log.presses) {
    withheld.push_back(press.withheld);
    CHECK(press.flashed == press.withheld.empty());
    CHECK(press.submit_ns.has_value() == press.flashed);
  }
  CHECK(withheld == std::vector<std::string>{"", "lit", "rest", ""});
}

TEST_CASE("the log keeps the order of presses that come before the first one's frame") {
  for (const bool ended : {false, true}) {
    FakeWorld world;
    world.settings.pacing = PacingKind::kFrameStart;
    // A contact that bounces: both are there when the next frame takes its events.
    world.input.at(2 * kSecond_ns + 1, Happening::kDown, key(44));
    world.input.at(2 * kSecond_ns + 2, Happening::kUp, key(44));
    world.input.at(2 * kSecond_ns + 3, Happening::kDown, key(44));
    world.input.at(ended ? 2 * kSecond_ns + 4 : 4 * kSecond_ns, Happening::kDown, key(kOtherKey));
    world.run();
    const std::vector<session::Press>& presses = world.log.log.presses;
    REQUIRE(presses.size() == 2);
    CHECK(presses[0].index == 0);
    CHECK(presses[1].index == 1);
    CHECK(presses[0].arrival_ns <= presses[1].arrival_ns);
    CHECK(presses[0].flashed != ended);
    CHECK(presses[1].withheld == "lit");
  }
}

TEST_CASE("twenty presses a second make at most three flashes in any second") {
  const auto pacing = GENERATE(PacingKind::kOnPress, PacingKind::kEveryFrame);
  FakeWorld world;
  world.settings.pacing = pacing;
  world.settings.hold_ns = 1 * kMillisecond_ns;
  world.settings.rest_ns = 0;
  std::int64_t moment_ns = 2 * kSecond_ns;
  for (int tap = 0; tap < 400; ++tap, moment_ns += 50 * kMillisecond_ns) {
    world.input.tap(moment_ns, key(44), 20 * kMillisecond_ns);
  }
  world.input.tap(moment_ns, key(kOtherKey));
  const harness::RunSummary summary = world.run();
  CHECK(summary.presses == 400);
  CHECK(world.log.log.presses.size() == 400);
  CHECK(summary.flashed >= 50);  // 20 s: the limiter lets through nearly three a second

  // Counted on what the screen showed, transition by transition (WCAG technique G19).
  std::vector<std::int64_t> transitions_ns;
  std::optional<int> level = 0;
  for (const FakeScreen::Frame& frame : world.screen.frames) {
    if (frame.level != level) {
      transitions_ns.push_back(frame.times.present_ns);
      level = frame.level;
    }
  }
  CHECK(transitions_ns.size() == 2 * static_cast<std::size_t>(summary.flashed));
  for (std::size_t i = 6; i < transitions_ns.size(); ++i) {
    CHECK(transitions_ns[i] - transitions_ns[i - 6] > kSecond_ns);
  }
}

TEST_CASE("any other key ends the run at once, and a lit patch turns dark first") {
  FakeWorld world;
  world.input.at(2 * kSecond_ns, Happening::kDown, key(44));
  world.input.at(2 * kSecond_ns + 40 * kMillisecond_ns, Happening::kDown, key(kOtherKey));
  const harness::RunSummary summary = world.run();
  CHECK(summary.reason == "stopped");
  CHECK(world.screen.frames.back().level == 0);
  CHECK(world.log.log.darks.size() == 1);
  CHECK(world.log.log.end->reason == "stopped");
  CHECK(world.clock.time_ns < 2 * kSecond_ns + 80 * kMillisecond_ns);
}

TEST_CASE("holding the control for three seconds ends the run: one button is enough") {
  FakeWorld world;
  world.input.at(2 * kSecond_ns, Happening::kDown, key(44));
  const harness::RunSummary summary = world.run();
  CHECK(summary.reason == "stopped");
  CHECK(world.clock.time_ns >= 5 * kSecond_ns);
  CHECK(world.clock.time_ns < 5 * kSecond_ns + 40 * kMillisecond_ns);
}

TEST_CASE("a press that came just before the end is kept in the log") {
  FakeWorld world;
  world.settings.pacing = PacingKind::kFrameStart;
  world.input.at(2 * kSecond_ns + 1, Happening::kDown, key(44));
  world.input.at(2 * kSecond_ns + 2, Happening::kDown, key(kOtherKey));
  const harness::RunSummary summary = world.run();
  CHECK(summary.presses == 1);
  REQUIRE(world.log.log.presses.size() == 1);
  CHECK_FALSE(world.log.log.presses[0].flashed);
  CHECK(world.log.log.presses[0].withheld == "end");
}

TEST_CASE("the window's closing and the system's signal end the run with their own reasons") {
  const auto [happening, reason] = GENERATE(table<Happening, std::string>(
      {{Happening::kClosed, "closed"}, {Happening::kInterrupted, "interrupted"}}));
  FakeWorld world;
  world.input.at(2 * kSecond_ns, happening, {});
  CHECK(world.run().reason == reason);
  CHECK(world.log.log.presses.empty());
  CHECK(world.log.log.end->presses == 0);
}

TEST_CASE("the run pauses while its device is unplugged and goes on when it is back") {
  FakeWorld world;
  const Control pad{Source::kButton, 0, 0, 7};
  const Control other{Source::kButton, 0, 0, 8};
  const Control again{Source::kButton, 0, 0, 9};
  world.settings.control = pad;
  world.settings.presses_wanted = 2;
  world.devices.same = 9;
  world.input.tap(2 * kSecond_ns, pad);
  world.input.at(3 * kSecond_ns, Happening::kDeviceRemoved, other);  // not the one under test
  world.input.at(4 * kSecond_ns, Happening::kDeviceRemoved, pad);
  world.input.at(5 * kSecond_ns, Happening::kDeviceAdded, other);
  world.input.at(6 * kSecond_ns, Happening::kDeviceAdded, again);
  world.input.tap(7 * kSecond_ns, again);
  const harness::RunSummary summary = world.run();
  CHECK(summary.reason == "completed");
  CHECK(summary.flashed == 2);
  REQUIRE(world.log.log.devices.size() == 2);
  CHECK_FALSE(world.log.log.devices[0].connected);
  CHECK(world.log.log.devices[0].at_ns == 4 * kSecond_ns);
  CHECK(world.log.log.devices[1].connected);
  CHECK(world.log.log.devices[1].at_ns == 6 * kSecond_ns);
  const auto paused = std::find_if(
      world.screen.frames.begin(), world.screen.frames.end(),
      [](const FakeScreen::Frame& frame) { return text_of(frame.page).find("Unplugged") == 0; });
  REQUIRE(paused != world.screen.frames.end());
  CHECK_FALSE(paused->level.has_value());
  CHECK(text_of(world.screen.frames.back().page).find("Unplugged") == std::string::npos);
}

TEST_CASE("the count changes with the dark edge and not with the bright one") {
  FakeWorld world;
  world.settings.presses_wanted = 2;
  tap_often(world, 2);
  world.run();
  std::string former;
  for (const FakeScreen::Frame& frame : world.screen.frames) {
    const std::string text = text_of(frame.page);
    if (frame.level == 255) {
      CHECK(text == former);
    }
    former = text;
  }
  CHECK(former.find("2 of 2 presses") == 0);
}

TEST_CASE("a run of thousands of presses keeps every one") {
  FakeWorld world;
  world.settings.presses_wanted = 5000;
  tap_often(world, 5000);
  const harness::RunSummary summary = world.run();
  CHECK(summary.flashed == 5000);
  CHECK(world.log.log.presses.size() == 5000);
  CHECK(*summary.render_median_ms == Approx(0.2));
  CHECK(*summary.render_min_ms == Approx(0.2));
  CHECK(*summary.render_max_ms == Approx(0.2));
}
