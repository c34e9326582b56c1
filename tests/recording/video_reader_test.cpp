#include "analysis/recording/video_reader.hpp"

#include <catch2/catch.hpp>
#include <cstdio>
#include <fstream>
#include <sstream>

#include "analysis/recording/image_folder.hpp"
#include "harness/session/error.hpp"
#include "tests/onset/made_film.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::recording;

namespace {

std::string output_of(const std::string& command) {
  std::FILE* pipe = popen(command.c_str(), "r");
  std::string text;
  char buffer[4096];
  std::size_t got = 0;
  while ((got = std::fread(buffer, 1, sizeof buffer, pipe)) > 0) {
    text.append(buffer, got);
  }
  pclose(pipe);
  return text;
}

std::vector<std::int64_t> stamps_by_ffprobe(const std::filesystem::path& file) {
  std::istringstream lines(
      output_of("ffprobe -v error -select_streams v:0 -show_entries "
                "frame=best_effort_timestamp -of csv=p=0 '" +
                file.string() + "'"));
  std::vector<std::int64_t> stamps;
  std::string line;
  while (std::getline(lines, line)) {
    if (!line.empty()) {
      stamps.push_back(std::stoll(line));
    }
  }
  return stamps;
}

std::vector<std::int64_t> stamps_of(FrameSource& source) {
  std::vector<std::int64_t> stamps;
  Frame frame;
  while (source.next(frame)) {
    stamps.push_back(frame.stamp);
  }
  return stamps;
}

}  // namespace

TEST_CASE("stamps equal ffprobe's in every container and codec") {
  const test::TemporaryFolder folder;
  const std::string input = "ffmpeg -v error -y -f lavfi -i testsrc2=s=128x96:r=240:d=0.25 ";
  const std::vector<std::pair<std::string, std::string>> kinds = {
      {"a.mp4", "-c:v libx264 -bf 2"},
      {"b.mov", "-c:v libx265 -x265-params log-level=none -pix_fmt yuv420p10le"},
      {"c.webm", "-c:v libvpx-vp9 -deadline realtime -cpu-used 8"},
      {"d.mkv", "-c:v libsvtav1 -preset 12"},
      {"e.avi", "-c:v mjpeg"},
      {"f.mkv", "-c:v ffv1"},
      {"g.mp4", "-c:v libx264 -vf select='not(eq(mod(n\\,7)\\,3))' -fps_mode vfr"}};
  for (const auto& [name, options] : kinds) {
    INFO(name);
    const std::filesystem::path file = folder.path() / name;
    test::run(input + options + " '" + file.string() + "'");
    VideoReader reader(file, 2);
    CHECK(reader.info().width == 128);
    const std::vector<std::int64_t> stamps = stamps_of(reader);
    CHECK(stamps.size() >= 50);
    CHECK(stamps == stamps_by_ffprobe(file));
    CHECK(reader.faults() == 0);
  }
}

TEST_CASE("rotation, range and capture rate are read from the file") {
  const test::TemporaryFolder folder;
  const std::string plain = (folder.path() / "plain.mp4").string();
  const std::string turned = (folder.path() / "turned.mp4").string();
  test::run(
      "ffmpeg -v error -y -f lavfi -i color=gray:s=64x48:r=30:d=0.3 -metadata "
      "com.android.capture.fps=240.0 -movflags use_metadata_tags -c:v libx264 '" +
      plain + "'");
  test::run("ffmpeg -v error -y -i '" + plain + "' -c copy -metadata:s:v rotate=90 '" + turned +
            "'");
  CHECK(VideoReader(plain, 1).info().rotation_deg == 0);
  REQUIRE(VideoReader(plain, 1).info().capture_hz);
  CHECK(*VideoReader(plain, 1).info().capture_hz == 240);
  const int turn = VideoReader(turned, 1).info().rotation_deg;
  CHECK((turn == 90 || turn == 270));
  CHECK_FALSE(VideoReader(plain, 1).info().coding.full_range);
}

TEST_CASE("an edit list that cuts the film is found and followed") {
  const test::TemporaryFolder folder;
  const std::string whole = (folder.path() / "whole.mp4").string();
  const std::string cut = (folder.path() / "cut.mp4").string();
  const std::string late = (folder.path() / "late.mp4").string();
  test::run("ffmpeg -v error -y -f lavfi -i testsrc2=s=64x48:r=60:d=2 -c:v libx264 -g 30 '" +
            whole + "'");
  // A copy from the middle of a group of pictures keeps its start and hides it by an edit list.
  test::run("ffmpeg -v error -y -ss 0.7 -i '" + whole + "' -c copy '" + cut + "'");
  test::run("ffmpeg -v error -y -itsoffset 0.5 -i '" + whole +
            "' -f lavfi -i anullsrc=d=2 -c:v copy -c:a aac '" + late + "'");
  VideoReader reader(cut, 1);
  REQUIRE(reader.info().edits);
  CHECK(reader.info().edits->pieces == 1);
  CHECK_FALSE(reader.info().edits->speed);
  CHECK(stamps_of(reader) == stamps_by_ffprobe(cut));
  REQUIRE(VideoReader(late, 1).info().edits);
  CHECK(VideoReader(late, 1).info().edits->pauses == 1);
  CHECK(VideoReader(late, 1).info().start_s == Approx(0.5).margin(0.05));
}

TEST_CASE("a folder of numbered images is a film; a missing number is a gap") {
  const test::TemporaryFolder folder;
  test::run("ffmpeg -v error -y -f lavfi -i testsrc2=s=64x48:r=10:d=1 '" + folder.path().string() +
            "/shot_%04d.png'");
  std::filesystem::remove(folder.path() / "shot_0004.png");
  ImageFolder images(folder.path());
  CHECK(images.info().coding.full_range);
  CHECK_FALSE(images.info().has_stamps);
  CHECK(stamps_of(images) == std::vector<std::int64_t>{0, 1, 2, 4, 5, 6, 7, 8, 9});
  const test::TemporaryFolder empty;
  CHECK_THROWS_AS(ImageFolder(empty.path()), Error);
}

TEST_CASE("files cut anywhere neither crash nor give more frames than before") {
  const test::TemporaryFolder folder;
  for (const char* name : {"whole.mp4", "whole.mkv", "whole.avi"}) {
    const std::filesystem::path whole = folder.path() / name;
    test::run(
        "ffmpeg -v error -y -f lavfi -i testsrc2=s=64x48:r=60:d=0.3 -c:v libx264 -movflags "
        "+faststart '" +
        whole.string() + "'");
    VideoReader reader(whole, 1);
    const std::size_t frames = stamps_of(reader).size();
    std::ifstream input(whole, std::ios::binary);
    const std::string bytes((std::istreambuf_iterator<char>(input)), {});
    const std::filesystem::path cut =
        folder.path() / (std::string("cut") + whole.extension().string());
    for (std::size_t length = 0; length < bytes.size(); length += 1 + bytes.size() / 60) {
      std::ofstream(cut, std::ios::binary) << bytes.substr(0, length);
      std::size_t left = 0;
      try {
        VideoReader part(cut, 1);
        left = stamps_of(part).size();
      } catch (const Error&) {
        left = 0;
      }
      CHECK(left <= frames);
    }
  }
}

TEST_CASE("what is no video is refused in one sentence") {
  const test::TemporaryFolder folder;
  std::ofstream(folder.path() / "a.mp4") << "this is a letter, not a film";
  std::ofstream(folder.path() / "b.mp4");
  CHECK_THROWS_WITH(VideoReader(folder.path() / "a.mp4", 1), Catch::Matchers::Contains("a.mp4"));
  CHECK_THROWS_WITH(VideoReader(folder.path() / "b.mp4", 1), Catch::Matchers::Contains("empty"));
  CHECK_THROWS_WITH(VideoReader(folder.path() / "c.mp4", 1), Catch::Matchers::Contains("no such"));
}
