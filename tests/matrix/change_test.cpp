#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/onset/extract.hpp"
#include "analysis/rehearsal/rehearse.hpp"
#include "harness/session/error.hpp"
#include "tests/matrix/change_scenes.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::test;
using Catch::Matchers::Contains;

namespace {

constexpr int kPresses = 9;

ChangeScene short_scene(const std::string& name) {
  ChangeScene scene = change_scene(change_scenes(), name);
  scene.settings.press.count = kPresses;
  return scene;
}

onset::Timings read(const std::filesystem::path& folder, const onset::Setup& setup) {
  onset::Request request;
  request.recording = folder / "camera.mp4";
  request.setup = setup;
  return onset::extract(request);
}

bool has(const onset::Timings& timings, const char* code) {
  return std::any_of(timings.warnings.begin(), timings.warnings.end(),
                     [code](const onset::Warning& warning) { return warning.code == code; });
}

}  // namespace

TEST_CASE("what a press changes is found beside what moves of its own accord") {
  for (const char* name : {"jump, faint figure", "idle, two poses", "scrolling ground",
                           "menu under a blinking title", "dark", "crf 28"}) {
    const TemporaryFolder folder;
    const ChangeScore score = score_scene(short_scene(name), 11, folder.path() / "session");
    INFO(name << ": found " << score.found << ", flagged " << score.flagged << ", unseen "
              << score.unseen << ", bias " << score.bias << ", worst " << score.worst);
    CHECK(score.presses == kPresses);
    CHECK(score.found >= kPresses - 1);
    CHECK(score.found + score.flagged + score.unseen == kPresses);
    CHECK(std::abs(score.bias) <= 0.75);  // of nine presses at one phase; the table's limit is 0.5
    CHECK(score.worst <= 2);
  }
}

TEST_CASE("what sets off too slowly to be told is flagged and not guessed") {
  const TemporaryFolder folder;
  const ChangeScore score =
      score_scene(short_scene("jump, slow and faint"), 12, folder.path() / "session");
  CHECK(score.worst <= 2);
  CHECK(score.found + score.flagged + score.unseen == kPresses);
}

TEST_CASE("one session without a log, asked in other ways") {
  const TemporaryFolder folder;
  const auto session = folder.path() / "session";
  const ChangeScene scene = short_scene("jump");
  const rehearsal::Truth truth = rehearsal::rehearse(scene.settings, session);
  CHECK_FALSE(std::filesystem::exists(session / "session.jsonl"));
  const onset::Setup told = onset::read_setup(session / "setup.json");
  REQUIRE(told.change);
  CHECK(told.light_from == "change");

  SECTION("an instant says how it was found and is no surer than half a frame") {
    const onset::Timings timings = read(session, told);
    for (const onset::PressTiming& press : timings.presses) {
      REQUIRE(press.light);
      CHECK(press.light->how == "change");
      CHECK(press.light->u_s.value() >= 1 / 240.0 / std::sqrt(12.0));
    }
    CHECK_FALSE(timings.recording.light);
    CHECK(timings.recording.camera.value().patch);
  }
  SECTION("neither region is told: the lamp and what follows it are found") {
    onset::Setup setup = told;
    setup.change.reset();
    setup.lamp.reset();
    setup.finger.reset();
    const ChangeScore score = score_changes(read(session, setup), truth);
    CHECK(score.found >= kPresses - 1);
    CHECK(score.worst <= 2);
  }
  SECTION("a region is enough to ask for change where nothing flashes there") {
    onset::Setup setup = told;
    setup.light_from = "step";
    setup.patch = told.change;
    const auto by_step = [&] { return read(session, setup); };
    try {
      for (const onset::PressTiming& press : by_step().presses) {
        CHECK((!press.light || press.light->how == "step"));
      }
    } catch (const Error&) {
      SUCCEED("no step is found there");
    }
  }
  SECTION("where nothing changes, no light is made up") {
    onset::Setup setup = told;
    setup.change = onset::Region{4, 110, 60, 40};  // the table
    const onset::Timings timings = read(session, setup);
    const ChangeScore score = score_changes(timings, truth);
    CHECK(score.found == 0);
    CHECK(timings.presses.size() == kPresses);
    CHECK(has(timings, "change-unseen"));
  }
  SECTION("a region outside the picture is refused") {
    onset::Setup setup = told;
    setup.change = onset::Region{5000, 10, 20, 20};
    CHECK_THROWS_WITH(read(session, setup), Contains("'change'") && Contains("outside"));
  }
  SECTION("without a press in sight nothing is said") {
    onset::Setup setup = told;
    setup.lamp = onset::Region{4, 140, 12, 12};
    setup.finger.reset();
    CHECK_THROWS_WITH(read(session, setup), Contains("no press is seen"));
  }
}

TEST_CASE("one press alone is read") {
  const TemporaryFolder folder;
  ChangeScene scene = change_scene(change_scenes(), "jump");
  scene.settings.press.count = 1;
  const ChangeScore score = score_scene(scene, 3, folder.path() / "session");
  CHECK(score.found + score.flagged + score.unseen == 1);
  CHECK(score.worst <= 2);
}
