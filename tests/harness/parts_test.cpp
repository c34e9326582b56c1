#include <catch2/catch.hpp>

#include "harness/run/axis_threshold.hpp"
#include "harness/run/frame_meter.hpp"
#include "harness/run/warm_up.hpp"
#include "harness/system/guid.hpp"
#include "tests/harness/fake_world.hpp"

using namespace thumblight;
using namespace thumblight::harness;

TEST_CASE("a stick closes past its threshold once and opens well below it") {
  AxisThreshold stick(0, 0.5);
  CHECK(stick.closed_by(16000) == 0);
  CHECK(stick.closed_by(16400) == 1);
  CHECK(stick.opened_by(16300) == 0);  // noise around the threshold is one press
  CHECK(stick.closed_by(16500) == 0);
  CHECK(stick.opened_by(13000) == 1);
  CHECK(stick.closed_by(-20000) == -1);
  CHECK(stick.opened_by(0) == -1);
}

TEST_CASE("a trigger that rests at one end has one direction") {
  AxisThreshold trigger(-32768, 0.5);
  CHECK(trigger.closed_by(-32768) == 0);
  CHECK(trigger.closed_by(-2000) == 0);
  CHECK(trigger.closed_by(10) == 1);
  CHECK(trigger.opened_by(-32768) == 1);
}

TEST_CASE("a jump from one side of a stick to the other is one opening and one closing") {
  AxisThreshold stick(0, 0.5);
  CHECK(stick.closed_by(32767) == 1);
  CHECK(stick.opened_by(-32768) == 1);
  CHECK(stick.closed_by(-32768) == -1);
}

// GUIDs of SDL's own library at 2.26.5, and the bus numbers of linux/input.h.
TEST_CASE("a GUID tells bus, vendor, product and driver") {
  const GuidFacts wired = read_guid("030000005e0400008e02000014010000");
  CHECK(wired.bus == "usb");
  CHECK(wired.vendor == 0x045e);
  CHECK(wired.product == 0x028e);
  CHECK(wired.driver.empty());
  const GuidFacts radio = read_guid("050000004c050000cc09000000816800");
  CHECK(radio.bus == "bluetooth");
  CHECK(radio.vendor == 0x054c);
  CHECK(radio.driver == "hidapi");
  const GuidFacts pad = read_guid("ff0013db5669727475616c2043007601");
  CHECK(pad.bus == "virtual");
  CHECK_FALSE(pad.vendor.has_value());
  CHECK(pad.driver == "virtual");
}

TEST_CASE("what is no GUID tells nothing") {
  for (const char* digits :
       {"", "03", "zz0000005e0400008e02000014010000", "030000005e0400008e0200001401000000"}) {
    const GuidFacts facts = read_guid(digits);
    CHECK(facts.bus.empty());
    CHECK_FALSE(facts.vendor.has_value());
  }
}

TEST_CASE("the meter counts what took more than one and a half intervals") {
  FrameMeter meter(10'000'000);
  CHECK_FALSE(meter.intervals().has_value());
  std::int64_t now_ns = 0;
  for (const std::int64_t interval_ns : {0, 10, 10, 15, 16, 10, 200, 10}) {
    now_ns += interval_ns * 1'000'000;
    meter.presented(now_ns);
  }
  CHECK(meter.missed() == 2);
  CHECK(meter.intervals()->min_ns == 10'000'000);
  CHECK(meter.intervals()->max_ns == 200'000'000);
  CHECK(meter.intervals()->median_ns == Approx(10'000'000).margin(5'000));
  meter.interrupt();
  meter.presented(now_ns + 10'000'000'000);
  CHECK(meter.missed() == 2);
}

TEST_CASE("medians of few values") {
  CHECK_FALSE(median_of({}).has_value());
  CHECK(median_of({3}) == 3);
  CHECK(median_of({9, 1, 5}) == 5);
  CHECK(median_of({4, 1, 3, 2}) == 2);
}

TEST_CASE("warming up measures the refresh and flashes nothing") {
  test::FakeWorld world;
  const auto intervals = warm_up(world.screen, 3, 60);
  REQUIRE(intervals.has_value());
  CHECK(intervals->median_ns == world.screen.interval_ns);
  CHECK(intervals->min_ns == world.screen.interval_ns);
  CHECK(intervals->max_ns == world.screen.interval_ns);
  for (const test::FakeScreen::Frame& frame : world.screen.frames) {
    CHECK(frame.level == 3);
  }
  CHECK_FALSE(warm_up(world.screen, 3, 1).has_value());
}

TEST_CASE("the interval to pace by is the measured one only where presenting waits") {
  session::Display display;
  CHECK(pacing_interval_ns(display) == 16'666'667);
  display.refresh_hz = 50;
  CHECK(pacing_interval_ns(display) == 20'000'000);
  display.measured_interval = session::Intervals{8'000'000, 1, 9'000'000};
  CHECK(pacing_interval_ns(display) == 20'000'000);
  display.vsync = true;
  CHECK(pacing_interval_ns(display) == 8'000'000);
}
