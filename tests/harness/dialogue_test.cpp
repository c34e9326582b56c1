#include "harness/dialogue.hpp"

#include <catch2/catch.hpp>

#include "tests/harness/fake_world.hpp"

using namespace thumblight;
using namespace thumblight::test;
using harness::Answer;

namespace {

const Control kEscape = key(41);
const Control kPadButton{Source::kButton, 0, 0, 3};

}  // namespace

TEST_CASE("the caution goes on only for a key or button that is held for a second") {
  const Control control = GENERATE(key(44), kPadButton, Control{Source::kTouch, 0, 0, {}});
  FakeWorld world;
  world.input.at(2 * kSecond_ns, Happening::kDown, control);
  world.input.at(9 * kSecond_ns, Happening::kUp, control);
  CHECK(harness::ask_caution(world.clock, world.input, world.screen) == Answer::kGoOn);
  CHECK(world.clock.time_ns == 3 * kSecond_ns);
}

TEST_CASE("a short press leaves the caution, and a stick that drifts does nothing") {
  FakeWorld world;
  world.input.at(2 * kSecond_ns, Happening::kDown, {Source::kAxis, 1, 1, 3});
  world.input.tap(5 * kSecond_ns, kPadButton, 999 * kMillisecond_ns);
  CHECK(harness::ask_caution(world.clock, world.input, world.screen) == Answer::kLeave);
  CHECK(world.clock.time_ns == 5 * kSecond_ns + 999 * kMillisecond_ns);
}

TEST_CASE("nothing flashes before the caution has been answered") {
  FakeWorld world;
  world.input.at(30 * kSecond_ns, Happening::kClosed, {});
  CHECK(harness::ask_caution(world.clock, world.input, world.screen) == Answer::kLeave);
  for (const FakeScreen::Frame& frame : world.screen.frames) {
    CHECK_FALSE(frame.level.has_value());
  }
}

TEST_CASE("the system's signal is told apart from a person who leaves") {
  FakeWorld world;
  world.input.at(2 * kSecond_ns, Happening::kInterrupted, {});
  CHECK(harness::ask_caution(world.clock, world.input, world.screen) == Answer::kInterrupted);
}

TEST_CASE("whatever is pressed first is the control") {
  const Control control =
      GENERATE(key(44), kPadButton, Control{Source::kAxis, 5, 1, 3}, Control{Source::kHat, 0, 4, 3},
               Control{Source::kMouse, 1, 0, {}}, Control{Source::kTouch, 0, 0, {}});
  FakeWorld world;
  world.input.at(2 * kSecond_ns, Happening::kUp, key(44));  // what answered the caution is let go
  world.input.at(3 * kSecond_ns, Happening::kDown, control);
  const harness::Learned learned =
      harness::learn_control(world.clock, world.input, world.screen, kEscape);
  CHECK(learned.answer == Answer::kGoOn);
  CHECK(learned.control == control);
}

TEST_CASE("escape leaves the learning") {
  FakeWorld world;
  world.input.tap(2 * kSecond_ns, kEscape);
  const harness::Learned learned =
      harness::learn_control(world.clock, world.input, world.screen, kEscape);
  CHECK(learned.answer == Answer::kLeave);
  CHECK_FALSE(learned.control.has_value());
}

TEST_CASE("a page that was covered is drawn again") {
  FakeWorld world;
  world.input.at(2 * kSecond_ns, Happening::kExposed, {});
  world.input.tap(3 * kSecond_ns, key(44));
  CHECK(harness::wait_for_any(world.clock, world.input, world.screen, {}) == Answer::kGoOn);
  CHECK(world.screen.frames.size() == 2);
}
