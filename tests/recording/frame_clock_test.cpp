#include "analysis/recording/frame_clock.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "harness/session/error.hpp"

using namespace thumblight;
using namespace thumblight::recording;

namespace {

VideoInfo info_with(std::int64_t ticks_per_s) {
  VideoInfo info;
  info.file = "film.mp4";
  info.time_base = {1, ticks_per_s};
  return info;
}

std::vector<std::int64_t> even(int count, double interval_s, double ticks_per_s) {
  std::vector<std::int64_t> stamps;
  for (int i = 0; i < count; ++i) {
    stamps.push_back(std::llround(i * interval_s * ticks_per_s));
  }
  return stamps;
}

}  // namespace

TEST_CASE("rounding to coarse ticks is undone on an even grid") {
  for (const double ticks : {600.0, 1000.0, 90000.0}) {
    const FrameClock clock = make_frame_clock(info_with(static_cast<std::int64_t>(ticks)),
                                              even(2400, 1 / 239.76, ticks), 0, {});
    CHECK(clock.steady);
    CHECK(clock.source == "stamps");
    CHECK(1 / clock.interval_s == Approx(239.76).epsilon(1e-5));
    CHECK(clock.dropped == 0);
    for (int i = 1; i < 2400; ++i) {
      CHECK(clock.time_s[static_cast<std::size_t>(i)] -
                clock.time_s[static_cast<std::size_t>(i) - 1] ==
            Approx(1 / 239.76).epsilon(1e-4));
    }
  }
}

TEST_CASE("missing frames are counted and leave their gap") {
  std::vector<std::int64_t> stamps = even(1000, 1.0 / 240, 90000);
  stamps.erase(stamps.begin() + 500, stamps.begin() + 503);
  stamps.erase(stamps.begin() + 100);
  const FrameClock clock = make_frame_clock(info_with(90000), stamps, 0, {});
  CHECK(clock.dropped == 4);
  CHECK(clock.steady);
  CHECK(clock.time_s[100] - clock.time_s[99] == Approx(2.0 / 240).epsilon(1e-3));
}

TEST_CASE("uneven times are kept as they are stamped") {
  std::vector<std::int64_t> stamps;
  for (int i = 0; i < 1000; ++i) {
    stamps.push_back(i * 375 + (i * 7919) % 100);
  }
  const FrameClock clock = make_frame_clock(info_with(90000), stamps, 0, {});
  CHECK_FALSE(clock.steady);
  CHECK(clock.time_s[10] == Approx(static_cast<double>(stamps[10]) / 90000));
}

TEST_CASE("slow motion is taken from metadata or from the person, and not twice") {
  const std::vector<std::int64_t> thirty = even(300, 1.0 / 30, 90000);
  VideoInfo info = info_with(90000);
  info.capture_hz = 240;
  info.capture_key = "com.android.capture.fps";
  const FrameClock by_file = make_frame_clock(info, thirty, 0, {});
  CHECK(by_file.source == "capture-rate");
  CHECK(by_file.slowdown == Approx(8));
  CHECK(by_file.interval_s == Approx(1.0 / 240));
  const FrameClock by_person = make_frame_clock(info_with(90000), thirty, 0, 120.0);
  CHECK(by_person.interval_s == Approx(1.0 / 120));
  const FrameClock real = make_frame_clock(info, even(300, 1.0 / 240, 90000), 0, {});
  CHECK(real.source == "stamps");
  CHECK(real.slowdown == 1);
}

TEST_CASE("odd starts and stamps that go back are reported") {
  std::vector<std::int64_t> stamps = even(100, 1.0 / 240, 90000);
  for (std::int64_t& stamp : stamps) {
    stamp += 90000;
  }
  stamps[50] = stamps[49];
  const FrameClock clock = make_frame_clock(info_with(90000), stamps, 2, {});
  CHECK(clock.start_s == Approx(1));
  CHECK(clock.odd_stamps == 3);
}

TEST_CASE("too few frames and images without a rate are refused") {
  CHECK_THROWS_AS(make_frame_clock(info_with(90000), {}, 0, {}), Error);
  CHECK_THROWS_AS(make_frame_clock(info_with(90000), {0}, 0, {}), Error);
  VideoInfo images = info_with(1);
  images.has_stamps = false;
  CHECK_THROWS_AS(make_frame_clock(images, {0, 1, 2}, 0, {}), Error);
  const FrameClock clock = make_frame_clock(images, {0, 1, 3}, 0, 240.0);
  CHECK(clock.time_s[2] - clock.time_s[0] == Approx(3.0 / 240));
}
