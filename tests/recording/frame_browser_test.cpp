#include "analysis/recording/frame_browser.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <random>

#include "analysis/recording/colour_pixels.hpp"
#include "analysis/recording/frame_clock.hpp"
#include "harness/session/error.hpp"
#include "tests/onset/made_film.hpp"
#include "tests/support/temporary_folder.hpp"

extern "C" {
#include <libavutil/frame.h>
}

using namespace thumblight;
using namespace thumblight::recording;

namespace {

std::uint64_t print_of(const DecodedFrame& frame) {
  FrameHandle copy(av_frame_alloc());
  av_frame_ref(copy.get(), frame.get());
  LumaExtractor extractor;
  const FrameHandle picture = extractor.with_luma(std::move(copy));
  return recording::print_of(luma_of(*picture));
}

/// What reading from the beginning gives.
struct Sequence {
  std::vector<std::int64_t> stamps;
  std::vector<std::uint64_t> prints;
  std::int64_t unstamped = 0;
};

Sequence read_all(const std::filesystem::path& path) {
  const auto source = open_frames(path, 2);
  Sequence all;
  Frame frame;
  while (source->next(frame)) {
    all.stamps.push_back(frame.stamp);
    all.prints.push_back(recording::print_of(frame.luma));
    all.unstamped += frame.stamped ? 0 : 1;
  }
  return all;
}

FrameIndex index_of(const std::filesystem::path& path) {
  const std::optional<FrameIndex> quick = index_by_packets(path);
  return quick ? *quick : index_by_decoding(path, {});
}

/// Forwards, backwards, at random, and to and fro at both ends.
std::vector<std::int64_t> walk(std::int64_t frames) {
  std::vector<std::int64_t> places;
  for (std::int64_t frame = 0; frame < frames; ++frame) {
    places.push_back(frame);
  }
  for (std::int64_t frame = frames - 1; frame >= 0; --frame) {
    places.push_back(frame);
  }
  std::mt19937_64 engine(17);
  std::uniform_int_distribution<std::int64_t> anywhere(0, frames - 1);
  for (int jump = 0; jump < 25; ++jump) {
    const std::int64_t place = anywhere(engine);
    for (const std::int64_t step : {0, -1, 1, -10}) {
      places.push_back(std::clamp<std::int64_t>(place + step, 0, frames - 1));
    }
  }
  for (const std::int64_t place : {std::int64_t{0}, frames - 1, std::int64_t{1}, frames - 2}) {
    places.push_back(std::clamp<std::int64_t>(place, 0, frames - 1));
  }
  return places;
}

void check_walk(const std::filesystem::path& path, const FrameIndex& index, std::size_t bytes) {
  const Sequence all = read_all(path);
  REQUIRE(index.stamps == all.stamps);
  CHECK(index.unstamped == all.unstamped);
  FrameBrowser browser(path, index, {bytes, 2});
  std::int64_t wrong = 0;
  for (const std::int64_t place : walk(index.frames())) {
    wrong += print_of(browser.get(place)) != all.prints[static_cast<std::size_t>(place)] ? 1 : 0;
  }
  CHECK(wrong == 0);
}

const std::string kSource = "ffmpeg -v error -y -f lavfi -i testsrc2=s=96x64:r=240:d=0.5 ";

}  // namespace

TEST_CASE("any frame in any order is the one that reading from the beginning gives") {
  const auto [name, options] = GENERATE(table<std::string, std::string>({
      {"b-frames.mp4", "-c:v libx264 -bf 3 -g 30"},
      {"one-key.mp4", "-c:v libx264 -g 1000"},
      {"open-groups.mp4", "-c:v libx264 -bf 2 -g 20 -x264-params open-gop=1"},
      {"open-groups.mkv", "-c:v libx264 -bf 3 -g 25 -x264-params open-gop=1"},
      {"refresh.ts", "-c:v libx264 -g 24 -x264-params intra-refresh=1"},
      {"stream.ts", "-c:v libx264 -bf 2 -g 24"},
      {"hevc.mov",
       "-c:v libx265 -x265-params log-level=none:keyint=24:open-gop=1 -pix_fmt yuv420p10le"},
      {"vp9.webm", "-c:v libvpx-vp9 -deadline realtime -cpu-used 8 -g 20"},
      {"vp9-hidden.webm", "-c:v libvpx-vp9 -auto-alt-ref 1 -lag-in-frames 16 -cpu-used 5 -g 40"},
      {"av1.mkv", "-c:v libsvtav1 -preset 12 -g 30"},
      {"stills.avi", "-c:v mjpeg"},
      {"packed.avi", "-c:v mpeg4 -bf 2 -g 24"},
      {"lossless.mkv", "-c:v ffv1"},
      {"bare.264", "-c:v libx264 -bf 2 -g 30"},
      {"gaps.mp4", "-c:v libx264 -g 24 -vf select='not(eq(mod(n\\,7)\\,3))' -fps_mode vfr"},
  }));
  INFO(name);
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / name;
  test::run(kSource + options + " '" + file.string() + "'");
  check_walk(file, index_of(file), std::size_t{1} << 20);
}

TEST_CASE("films with odd beginnings keep their numbers") {
  const test::TemporaryFolder folder;
  const std::string whole = (folder.path() / "whole.mp4").string();
  test::run("ffmpeg -v error -y -f lavfi -i testsrc2=s=64x48:r=60:d=2 -c:v libx264 -bf 2 -g 30 '" +
            whole + "'");
  const std::string copied = "-i '" + whole + "' -c copy";
  const std::vector<std::pair<std::string, std::string>> films = {
      {"cut.mp4", "-ss 0.7 " + copied},
      {"cut.mkv", "-ss 0.7 " + copied},
      {"cut.ts", "-ss 0.7 " + copied},
      {"late.mp4", "-itsoffset 0.5 " + copied},
      {"turned.mp4", copied + " -metadata:s:v rotate=90"}};
  for (const auto& [name, made] : films) {
    INFO(name);
    const std::filesystem::path file = folder.path() / name;
    test::run("ffmpeg -v error -y " + made + " '" + file.string() + "'");
    check_walk(file, index_of(file), std::size_t{1} << 20);
  }
}

TEST_CASE("a damaged film shows what reading from the beginning shows") {
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "film.mkv";
  test::run(kSource + "-c:v libx264 -bf 2 -g 20 '" + file.string() + "'");
  std::fstream bytes(file, std::ios::in | std::ios::out | std::ios::binary);
  const auto size = static_cast<std::streamoff>(std::filesystem::file_size(file));
  for (const int tenth : {4, 7}) {
    bytes.seekp(size * tenth / 10);
    bytes << std::string(40, 'x');
  }
  bytes.close();
  check_walk(file, index_by_decoding(file, {}), std::size_t{1} << 20);
}

TEST_CASE("a folder of images is browsed, with a number missing") {
  const test::TemporaryFolder folder;
  test::run("ffmpeg -v error -y -f lavfi -i testsrc2=s=64x48:r=10:d=4 '" + folder.path().string() +
            "/shot_%04d.png'");
  std::filesystem::remove(folder.path() / "shot_0009.png");
  check_walk(folder.path(), index_of(folder.path()), std::size_t{1} << 20);
}

TEST_CASE("both ways to number the frames of a film agree, and give the times of a reading") {
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "film.mp4";
  test::run(kSource + "-c:v libx264 -bf 2 -g 20 '" + file.string() + "'");
  const FrameIndex counted = index_by_decoding(file, {});
  const std::optional<FrameIndex> quick = index_by_packets(file);
  REQUIRE(quick);
  CHECK(quick->stamps == counted.stamps);
  CHECK(quick->keys.size() == counted.keys.size());
  const FrameClock clock = make_frame_clock(quick->info, quick->stamps, quick->unstamped, 240.0);
  REQUIRE(clock.time_s.size() == counted.stamps.size());
  CHECK(clock.time_s[24] - clock.time_s[0] == Approx(0.1));
  CHECK(index_by_decoding(file, [](std::int64_t frames) { return frames < 7; }).frames() == 7);
}

TEST_CASE("the memory for frames is bounded, and what lies around the place stays") {
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "film.mp4";
  test::run(kSource + "-c:v libx264 -g 30 '" + file.string() + "'");
  constexpr std::size_t kLeast = 1;  // the fewest frames there may be
  FrameBrowser browser(file, index_of(file), {kLeast, 1});
  for (const std::int64_t place : {119, 3, 60, 90, 30}) {
    browser.get(place);
    browser.settle();
    CHECK(browser.held() <= 24);
    CHECK(browser.find(place - 1));
  }
  browser.expect({100});
  browser.settle();
  CHECK(browser.find(100));
  CHECK(browser.held() <= 24);
}

TEST_CASE("a film that is lost meanwhile is told of") {
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "film.avi";
  test::run(kSource + "-c:v mjpeg '" + file.string() + "'");
  FrameIndex index = index_of(file);
  index.stamps.push_back(index.stamps.back() + 1);  // one more than there are
  FrameBrowser browser(file, index, {1, 1});
  CHECK_THROWS_WITH(browser.get(index.frames() - 1),
                    Catch::Matchers::Contains("cannot be decoded"));
}

TEST_CASE("colours for the eye follow range and matrix") {
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "red.mkv";
  const std::string range = GENERATE("tv", "pc");
  test::run("ffmpeg -v error -y -f lavfi -i color=red:s=32x32:d=0.1 -vf scale=out_range=" + range +
            ":out_color_matrix=bt709 -colorspace bt709 -color_range " + range +
            " -c:v ffv1 -pix_fmt yuv444p '" + file.string() + "'");
  FrameBrowser browser(file, index_of(file));
  ColourConverter converter;
  ColourPixels pixels;
  converter.convert(*browser.get(1), pixels);
  REQUIRE(pixels.bytes.size() == std::size_t{4} * 32 * 32);
  CHECK(pixels.bytes[0] >= 250);
  CHECK(pixels.bytes[1] <= 6);
  CHECK(pixels.bytes[2] <= 6);
  CHECK(pixels.bytes[3] == 255);
}
