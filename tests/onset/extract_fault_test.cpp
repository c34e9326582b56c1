#include <catch2/catch.hpp>
#include <fstream>

#include "analysis/onset/extract.hpp"
#include "harness/session/error.hpp"
#include "tests/onset/made_film.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::onset;
using Catch::Matchers::Contains;

namespace {

/// What `extract` says of a file made by ffmpeg with these options.
std::string complaint(const std::filesystem::path& file, const session::Log* log = nullptr) {
  Request request;
  request.recording = file;
  request.log = log;
  request.evidence = file.parent_path();
  try {
    extract(request);
  } catch (const Error& error) {
    CHECK_FALSE(std::filesystem::exists(file.parent_path() / "regions.png"));
    CHECK_FALSE(std::filesystem::exists(file.parent_path() / "evidence"));
    CHECK(std::string(error.what()).find('\n') == std::string::npos);
    return error.what();
  }
  return "";
}

std::filesystem::path made(const test::TemporaryFolder& folder, const std::string& options,
                           const char* name) {
  const std::filesystem::path file = folder.path() / name;
  test::run("ffmpeg -v error -y " + options + " '" + file.string() + "'");
  return file;
}

}  // namespace

TEST_CASE("hopeless recordings are refused in one sentence and leave nothing behind") {
  const test::TemporaryFolder folder;
  std::ofstream(folder.path() / "letter.mp4") << "no film at all";
  CHECK_THAT(complaint(folder.path() / "letter.mp4"), Contains("neither a video nor"));
  CHECK_THAT(complaint(folder.path() / "absent.mp4"), Contains("no such file"));
  CHECK_THAT(complaint(made(folder, "-f lavfi -i color=black:s=96x64:r=240:d=2", "black.mp4")),
             Contains("black"));
  CHECK_THAT(
      complaint(made(folder, "-f lavfi -i testsrc2=s=96x64:r=240:d=1 -frames:v 1", "one.mp4")),
      Contains("too few"));
  CHECK_THAT(
      complaint(made(folder, "-f lavfi -i color=gray:s=96x64:r=240:d=2 -vf noise=alls=9:allf=t",
                     "grey.mp4")),
      Contains("no flash"));
  CHECK_THAT(complaint(made(folder, "-f lavfi -i anoisesrc=d=2:a=0.01", "sound.m4a")),
             Contains("no light and no press"));
}

TEST_CASE("thirty frames a second are refused with the rate that would do") {
  const test::TemporaryFolder folder;
  const std::string flash =
      "-f lavfi -i \"color=black:s=96x64:r=30:d=6,drawbox=x=20:y=12:w=40:h=30:c=white:t=fill:"
      "enable='lt(mod(t,0.7),0.2)'\"";
  CHECK_THAT(complaint(made(folder, flash, "thirty.mp4")), Contains("120"));
}

TEST_CASE("a film cut at any byte is refused or read, never worse") {
  const test::TemporaryFolder folder;
  test::MadeFilm film;
  test::schedule(film, 4, [](int) { return 0.04; });
  film.encoder += " -movflags +faststart";
  test::make(film, folder.path() / "whole.mp4");
  std::ifstream input(folder.path() / "whole.mp4", std::ios::binary);
  const std::string bytes((std::istreambuf_iterator<char>(input)), {});
  for (int part = 0; part < 12; ++part) {
    std::ofstream(folder.path() / "cut.mp4", std::ios::binary)
        << bytes.substr(0, bytes.size() * static_cast<std::size_t>(part) / 12);
    Request request;
    request.recording = folder.path() / "cut.mp4";
    std::size_t presses = 0;
    try {
      presses = extract(request).presses.size();
    } catch (const Error&) {
      presses = 0;
    }
    CHECK(presses <= 4);
  }
}

TEST_CASE("the log of another session is refused") {
  const test::TemporaryFolder folder;
  test::MadeFilm film;
  test::schedule(film, 8, [](int) { return 0.04; });
  test::make(film, folder.path() / "film.mp4");
  session::Log log;
  std::int64_t at_ns = 1'000'000'000;
  for (int k = 0; k < 12; ++k) {
    session::Press press;
    press.index = k;
    press.arrival_ns = at_ns;
    press.submit_ns = at_ns;
    log.presses.push_back(press);
    at_ns += 900'000'000 + std::int64_t{k * 37 % 11} * 130'000'000;
  }
  CHECK_THAT(complaint(folder.path() / "film.mp4", &log), Contains("log"));
}
