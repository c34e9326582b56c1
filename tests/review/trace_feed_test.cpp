#include "analysis/review/trace_feed.hpp"

#include <catch2/catch.hpp>
#include <chrono>

#include "analysis/review/reviewed_session.hpp"
#include "tests/onset/made_film.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::review;

namespace {

void wait_for(const TraceFeed& feed, std::int64_t frames) {
  while (feed.frames() < frames && feed.fault().empty()) {
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
}

}  // namespace

TEST_CASE("a region's trace rises in the frame in which its light comes") {
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "film.mkv";
  test::run(
      "ffmpeg -v error -y -f lavfi -i "
      "\"color=gray:s=128x96:r=240:d=0.5,drawbox=x=64:y=32:w=32:h=32:"
      "c=white:t=fill:enable='gte(n,60)'\" -c:v ffv1 '" +
      file.string() + "'");
  const ReviewedFrames film = open_frames_of(file, 120, std::nullopt, {});
  REQUIRE(film.frames() == 120);
  CHECK(film.frame_at(film.time_s(60)) == 60);
  CHECK(film.frame_at(film.time_s(60) - 1e-5) == 59);
  CHECK(film.frame_at(-1) == 0);
  const TraceFeed feed(film, [] { return false; });
  wait_for(feed, 120);
  KeptTrace kept;
  const Trace trace = kept.update(feed, {64, 32, 32, 32});
  REQUIRE(trace.level.size() == 120);
  CHECK(trace.level[60] > 0.9F);
  CHECK(trace.level[59] < 0.4F);
  CHECK(trace.change[60] > 0.5F);
  CHECK(trace.change[61] < 1e-3F);
  CHECK(kept.update(feed, {0, 0, 16, 16}).level[60] < 0.4F);
  CHECK(feed.trace({70, 40, 1, 1}, 60).level.size() == 60);  // the nearest cell
  CHECK(feed.trace({70, 40, 1, 1}, 60).change[0] > 0.5F);
}

TEST_CASE("frames that were counted otherwise are counted anew") {
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "film.mp4";
  test::run("ffmpeg -v error -y -f lavfi -i testsrc2=s=64x48:r=240:d=0.25 -c:v libx264 '" +
            file.string() + "'");
  int told = 0;
  const auto count = [&told](std::int64_t) { return ++told > 0; };
  CHECK(open_frames_of(file, 60, std::nullopt, count).frames() == 60);
  CHECK(told == 0);
  CHECK(open_frames_of(file, 59, std::nullopt, count).frames() == 60);
  CHECK(told == 60);
  CHECK(open_frames_of(file, std::nullopt, 480.0, {}).time_s(1) == Approx(1.0 / 480));
}
