#include <catch2/catch.hpp>

#include "tests/harness/fake_world.hpp"

using namespace thumblight;
using namespace thumblight::test;
using harness::PacingKind;

namespace {

/// Taps at moments that drift through the refresh, 0.6 s apart.
void tap_unevenly(FakeWorld& world, int taps) {
  for (int tap = 0; tap < taps; ++tap) {
    world.input.tap(2 * kSecond_ns + tap * (600 * kMillisecond_ns + 1'234'567), key(44));
  }
}

/// "press 0", "lamp 0 on", …: presses, dark edges and lamps in the order of the log.
std::vector<std::string> story_of(const FakeLog& log) {
  std::vector<std::string> story;
  for (const session::Record& record : log.in_order) {
    if (const auto* press = std::get_if<session::Press>(&record)) {
      story.push_back("press " + std::to_string(press->index));
    } else if (const auto* lamp = std::get_if<session::Lamp>(&record)) {
      story.push_back("lamp " + std::to_string(lamp->index) + (lamp->on ? " on" : " off"));
    } else if (const auto* dark = std::get_if<session::Dark>(&record)) {
      story.push_back("dark " + std::to_string(dark->index));
    }
  }
  return story;
}

/// The most flashes of which any part, from on to off, lies in one second.
std::size_t most_in_a_second(const std::vector<FakeLamp::Switch>& switches) {
  std::size_t most = 0;
  for (std::size_t first = 0; first + 1 < switches.size(); first += 2) {
    std::size_t last = first;
    while (last + 2 < switches.size() &&
           switches[last + 2].told_ns < switches[first + 1].told_ns + kSecond_ns) {
      last += 2;
    }
    most = std::max(most, (last - first) / 2 + 1);
  }
  return most;
}

}  // namespace

TEST_CASE("the lamp is told between arrival and frame, stamped before that, and dark in time") {
  const auto pacing =
      GENERATE(PacingKind::kOnPress, PacingKind::kEveryFrame, PacingKind::kFrameStart);
  CAPTURE(harness::name_of(pacing));
  FakeWorld world;
  world.has_lamp = true;
  world.settings.pacing = pacing;
  world.settings.presses_wanted = 30;
  tap_unevenly(world, 30);
  const harness::RunSummary summary = world.run();
  CHECK(summary.flashed == 30);
  CHECK(summary.lamp_failures == 0);
  CHECK(harness::lamp_warning(summary).empty());
  const session::Log& log = world.log.log;
  REQUIRE(log.lamps.size() == 60);
  REQUIRE(world.lamp.switches.size() == 60);
  for (std::size_t i = 0; i < 30; ++i) {
    const session::Lamp& on = log.lamps[2 * i];
    const session::Lamp& off = log.lamps[2 * i + 1];
    CHECK(on.on);
    CHECK_FALSE(off.on);
    CHECK(on.index == log.presses[i].index);
    CHECK(off.index == on.index);
    CHECK(on.switched_ns >= log.presses[i].arrival_ns);
    CHECK(on.switched_ns + world.lamp.takes_ns <= *log.presses[i].submit_ns);
    CHECK(off.switched_ns >= *log.presses[i].submit_ns + world.settings.hold_ns);
    CHECK(off.switched_ns <= log.darks[i].submit_ns);
    CHECK(world.lamp.switches[2 * i].told_ns == on.switched_ns);
    CHECK(world.lamp.switches[2 * i + 1].told_ns == off.switched_ns);
  }
}

TEST_CASE("on-press tells the lamp at the moment of arrival") {
  FakeWorld world;
  world.has_lamp = true;
  world.settings.presses_wanted = 10;
  tap_unevenly(world, 10);
  world.run();
  for (std::size_t i = 0; i < 10; ++i) {
    CHECK(world.log.log.lamps.at(2 * i).switched_ns == world.log.log.presses.at(i).arrival_ns);
  }
}

TEST_CASE("the log keeps the order of presses, with the lamp behind its press") {
  FakeWorld world;
  world.has_lamp = true;
  world.settings.pacing = PacingKind::kFrameStart;
  world.settings.presses_wanted = 2;
  world.input.at(2 * kSecond_ns + 1, Happening::kDown, key(44));
  world.input.at(2 * kSecond_ns + 2, Happening::kUp, key(44));
  world.input.at(2 * kSecond_ns + 3, Happening::kDown, key(44));  // bounces before the frame
  world.input.at(2 * kSecond_ns + 4, Happening::kUp, key(44));
  world.input.tap(3 * kSecond_ns, key(44));
  world.run();
  CHECK(story_of(world.log) == std::vector<std::string>{"press 0", "lamp 0 on", "press 1", "dark 0",
                                                        "lamp 0 off", "press 2", "lamp 2 on",
                                                        "dark 2", "lamp 2 off"});
}

TEST_CASE("the lamp follows flashed presses alone") {
  FakeWorld world(false);
  world.has_lamp = true;
  world.settings.presses_wanted = 2;
  const std::int64_t start_ns = 2 * kSecond_ns;
  world.input.tap(start_ns, key(44));
  world.input.tap(start_ns + 100 * kMillisecond_ns, key(44));  // lit until 150
  world.input.tap(start_ns + 300 * kMillisecond_ns, key(44));  // rests until 450
  world.input.tap(start_ns + 500 * kMillisecond_ns, key(44));
  world.run();
  CHECK(story_of(world.log) == std::vector<std::string>{"press 0", "lamp 0 on", "press 1", "dark 0",
                                                        "lamp 0 off", "press 2", "press 3",
                                                        "lamp 3 on", "dark 3", "lamp 3 off"});
}

TEST_CASE("twenty presses a second make at most three flashes of the lamp in any second") {
  const auto pacing = GENERATE(PacingKind::kOnPress, PacingKind::kEveryFrame);
  // Levels too near each other to count as a flash: the patch alone would not be limited.
  const int bright = GENERATE(255, 20);
  CAPTURE(harness::name_of(pacing), bright);
  FakeWorld world;
  world.has_lamp = true;
  world.settings.pacing = pacing;
  world.settings.bright_level = bright;
  world.settings.hold_ns = 1 * kMillisecond_ns;
  world.settings.rest_ns = 0;
  std::int64_t moment_ns = 2 * kSecond_ns;
  for (int tap = 0; tap < 400; ++tap, moment_ns += 50 * kMillisecond_ns) {
    world.input.tap(moment_ns, key(44), 20 * kMillisecond_ns);
  }
  world.input.tap(moment_ns, key(20));
  const harness::RunSummary summary = world.run();
  CHECK(summary.flashed >= 50);
  CHECK(world.lamp.switches.size() == 2 * static_cast<std::size_t>(summary.flashed));
  CHECK(most_in_a_second(world.lamp.switches) == 3);
}

TEST_CASE("a run that ends between press and frame leaves the lamp dark and says so") {
  FakeWorld world;
  world.has_lamp = true;
  world.settings.pacing = PacingKind::kFrameStart;
  world.input.at(2 * kSecond_ns + 1, Happening::kDown, key(44));
  world.input.at(2 * kSecond_ns + 2, Happening::kDown, key(20));
  world.run();
  CHECK(world.log.log.presses.at(0).withheld == "end");
  CHECK(story_of(world.log) == std::vector<std::string>{"press 0", "lamp 0 on", "lamp 0 off"});
  CHECK_FALSE(world.lamp.switches.back().on);
}

TEST_CASE("a run that ends while the patch is lit darkens both") {
  FakeWorld world;
  world.has_lamp = true;
  world.input.at(2 * kSecond_ns, Happening::kDown, key(44));
  world.input.at(2 * kSecond_ns + 50 * kMillisecond_ns, Happening::kInterrupted, {});
  CHECK(world.run().reason == "interrupted");
  CHECK(story_of(world.log) ==
        std::vector<std::string>{"press 0", "lamp 0 on", "dark 0", "lamp 0 off"});
}

TEST_CASE("a lamp that fails ends nothing, and what failed has no record") {
  FakeWorld world;
  world.has_lamp = true;
  world.settings.presses_wanted = 4;
  world.lamp.failing = {2, 5};  // press 1 is not lit, press 2 not darkened
  tap_unevenly(world, 4);
  const harness::RunSummary summary = world.run();
  CHECK(summary.flashed == 4);
  CHECK(summary.reason == "completed");
  CHECK(story_of(world.log) == std::vector<std::string>{"press 0", "lamp 0 on", "dark 0",
                                                        "lamp 0 off", "press 1", "dark 1",
                                                        "press 2", "lamp 2 on", "dark 2", "press 3",
                                                        "lamp 3 on", "dark 3", "lamp 3 off"});
  CHECK(world.lamp.switches.size() == 8);  // it is told to go dark all the same
  CHECK(harness::lamp_warning(summary) ==
        "Lamp: 2 switches failed, not in the log; the first said: lamp: pulled out");
  std::string page;
  for (const harness::TextLine& line : harness::end_page(world.screen.size(), summary).lines) {
    page += line.text + "\n";
  }
  CHECK_THAT(page, Catch::Contains("Lamp: 2 switches failed"));
}

TEST_CASE("a run without a lamp logs none and its end page says nothing of one") {
  FakeWorld world;
  world.settings.presses_wanted = 1;
  tap_unevenly(world, 1);
  const harness::RunSummary summary = world.run();
  CHECK(world.log.log.lamps.empty());
  for (const harness::TextLine& line : harness::end_page(world.screen.size(), summary).lines) {
    CHECK_THAT(line.text, !Catch::Contains("Lamp"));
  }
}

TEST_CASE("switches are timed from telling to return, with a pause after each") {
  FakeWorld world;
  int pauses = 0;
  const auto times = harness::time_switches(world.lamp, world.clock, 10, [&] {
    ++pauses;
    world.lamp.takes_ns += 1'000;
  });
  REQUIRE(times.has_value());
  CHECK(pauses == 20);
  CHECK(times->min_ns == 50'000);
  CHECK(times->max_ns == 69'000);
  CHECK(times->median_ns == Approx(59'500).margin(500));
  CHECK_FALSE(world.lamp.switches.back().on);
}
