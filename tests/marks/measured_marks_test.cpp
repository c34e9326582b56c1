#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/marks/session_marks.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "tests/analysis/verb_bench.hpp"
#include "tests/onset/made_film.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using marks::SessionMarks;
using marks::What;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

constexpr double kMeasuredFrame_s = 1.0 / 240;

/// A session of 20 presses, found by lamp and step.
std::string put_found(const fs::path& folder, unsigned seed = 3) {
  test::Bench bench;
  bench.presses = 20;
  test::SimulatedSession session = test::simulated(bench, seed);
  for (onset::PressTiming& press : session.timings.presses) {
    press.press->how = "lamp";
    press.light->how = "step";
    press.press->u_s = press.light->u_s = 0.0002;
  }
  session.timings.recording.clock.rate_hz = 240;
  return test::put_session(folder, session);
}

onset::Timings found_in(const fs::path& folder) {
  return onset::read_timings(folder / "timings.json");
}

/// Marks both instants of the presses `from` up to `to` some frames off where they were found.
void mark_presses(const fs::path& folder, std::size_t from, std::size_t to, int pass = 1,
                  double frames_off = 0) {
  const onset::Timings found = found_in(folder);
  SessionMarks session(folder, found);
  for (std::size_t k = from; k < to; ++k) {
    const onset::PressTiming& press = found.presses[k];
    const double off_s = frames_off * kMeasuredFrame_s;
    session.mark(press.index, What::kPress, {press.press->t_s + off_s, kMeasuredFrame_s, {}}, pass);
    session.mark(press.index, What::kLight, {press.light->t_s, kMeasuredFrame_s, {}}, pass);
  }
}

json result_in(const fs::path& folder) {
  return json::parse(test::get(folder / "result.json"));
}

json budget_line(const json& result, const std::string& portion, const std::string& source) {
  for (const json& row : result["summary"][portion]["budget"]["rows"]) {
    if (row["source"] == source) {
      return row;
    }
  }
  return nullptr;
}

}  // namespace

TEST_CASE("measure and split use the marks, say so, and leave what was found as it was") {
  const test::TemporaryFolder folder;
  const std::string session = put_found(folder.path() / "one");
  const fs::path path = session;
  const std::string found = test::get(path / "timings.json");
  mark_presses(path, 0, 10);
  mark_presses(path, 0, 4, 2, 2);
  SessionMarks(path, found_in(path)).leave_out(15, "hand <b>in the way</b>\x1b[31m");
  for (const char* verb : {"measure", "split"}) {
    const test::Answer answer = test::analyse({verb, session});
    INFO(verb << answer.err);
    REQUIRE(answer.exit_code == 0);
    CHECK_THAT(answer.out, Contains("10 presses and 10 lights marked"));
    CHECK_THAT(answer.out, Contains("1 press left out"));
    CHECK_THAT(answer.out, Contains("Repeatability of the marks"));
    CHECK_THAT(answer.out, !Contains("\x1b"));
    const json result = result_in(path);
    CHECK(result["by_hand"]["presses"] == 10);
    CHECK(result["by_hand"]["left_out"] == 1);
    CHECK(result["by_hand"]["passes"] == 2);
    CHECK(result["presses"][3]["press_by"] == "hand");
    CHECK(result["presses"][12]["press_by"] == "tool");
    CHECK(result["presses"][15]["left_out"] == "hand <b>in the way</b>\x1b[31m");
    CHECK(result["presses"][15]["total_ms"].is_number());
    CHECK(result["presses"][14]["left_out"].is_null());
    CHECK(result["summary"]["total_ms"]["n"] == 19);
    CHECK(result["summary"]["render_ms"]["n"] == 19);
    // Four presses differ by two frames between the passes: SD sqrt(16 / 8) frames, 4 dof; the
    // lights not at all.
    const double sd_ms = std::sqrt(2.0) * 1e3 * kMeasuredFrame_s;
    CHECK(result["by_hand"]["repeatability"]["press"]["sd_ms"].get<double>() ==
          Approx(sd_ms).margin(1e-5));
    CHECK(result["by_hand"]["repeatability"]["light"]["sd_ms"] == 0);
    // In one total, over 19 of them: six marked once, four twice.
    const json line = budget_line(result, "total_ms", "repeatability of marks");
    REQUIRE(line.is_object());
    CHECK(line["type"] == "A");
    CHECK(line["dof"].get<double>() == Approx(4));
    CHECK(line["u_ms"].get<double>() == Approx(sd_ms * std::sqrt((6 + 4 / 2.0) / 19)).margin(1e-5));
    CHECK(budget_line(result, "remainder_ms", "repeatability of marks").is_object());
    CHECK(budget_line(result, "render_ms", "repeatability of marks").is_null());
  }
  CHECK(test::get(path / "timings.json") == found);
  const std::string page = test::get(path / "report.html");
  CHECK_THAT(page, Contains("repeatability of marks, falls with their number"));
  CHECK_THAT(page, Contains("10 presses and 10 lights marked"));
  CHECK_THAT(page, Contains("press by hand"));
  CHECK_THAT(page, !Contains("<b>in the way"));
  const test::Answer csv = test::analyse({"split", session, "--csv", "-"});
  CHECK_THAT(csv.out, Contains("flags,press_by,light_by,left_out"));
  CHECK_THAT(csv.out, Contains("left-out,tool,tool"));
}

TEST_CASE("a marked instant moves its own press and no other") {
  const test::TemporaryFolder folder;
  const std::string session = put_found(folder.path() / "one");
  REQUIRE(test::analyse({"measure", session, "--no-report"}).exit_code == 0);
  const json before = result_in(session);
  const onset::Timings found = found_in(session);
  SessionMarks(session, found)
      .mark(4, What::kPress, {found.presses[4].press->t_s - 0.01, kMeasuredFrame_s, {}});
  REQUIRE(test::analyse({"measure", session, "--no-report"}).exit_code == 0);
  const json after = result_in(session);
  for (std::size_t k = 0; k < before["presses"].size(); ++k) {
    const double moved_ms = after["presses"][k]["total_ms"].get<double>() -
                            before["presses"][k]["total_ms"].get<double>();
    CHECK(moved_ms == Approx(k == 4 ? 10 : 0).margin(0.05));
  }
  CHECK(after["presses"][4]["total_u_ms"].get<double>() ==
        Approx(1e3 * std::hypot(marks::frame_u_s(kMeasuredFrame_s), 0.0002)).margin(1e-4));
  // Undone, the result is what it was.
  SessionMarks(session, found).undo();
  REQUIRE(test::analyse({"measure", session, "--no-report"}).exit_code == 0);
  CHECK(result_in(session)["summary"] == before["summary"]);
}

TEST_CASE("a result made before a mark is stale: measured anew, and not compared until then") {
  const test::TemporaryFolder folder;
  put_found(folder.path() / "one", 3);
  put_found(folder.path() / "two", 4);
  const std::string campaign = folder.path().string();
  REQUIRE(test::analyse({"measure", campaign}).exit_code == 0);
  CHECK(test::analyse({"compare", campaign}).exit_code == 0);
  mark_presses(folder.path() / "two", 0, 3);
  const test::Answer stale = test::analyse({"compare", campaign});
  CHECK_THAT(stale.out + stale.err, Contains("set-up and marks has changed since"));
  REQUIRE(test::analyse({"measure", campaign}).exit_code == 0);
  CHECK(result_in(folder.path() / "one")["by_hand"].is_null());
  CHECK(result_in(folder.path() / "two")["by_hand"]["presses"] == 3);
  CHECK(test::analyse({"compare", campaign}).exit_code == 0);
}

TEST_CASE("a session without a log is compared and reported with what was marked in it") {
  const test::TemporaryFolder folder;
  for (const char* name : {"a", "b"}) {
    put_found(folder.path() / name, name[0]);
    fs::remove(folder.path() / name / "session.jsonl");
    mark_presses(folder.path() / name, 0, 20, 1, name[0] == 'a' ? 0 : -3);
  }
  const test::Answer answer =
      test::analyse({"compare", (folder.path() / "a").string(), (folder.path() / "b").string()});
  INFO(answer.err);
  CHECK(answer.exit_code == 0);
  CHECK_THAT(answer.out, Contains("total"));
  REQUIRE(test::analyse({"report", (folder.path() / "b").string()}).exit_code == 0);
  CHECK_THAT(test::get(folder.path() / "b" / "report.html"),
             Contains("20 presses and 20 lights marked") && Contains("there is no log"));
}

TEST_CASE("a file of marks that is damaged ends measure in a sentence, and loses nothing") {
  const test::TemporaryFolder folder;
  const std::string session = put_found(folder.path() / "one");
  REQUIRE(test::analyse({"measure", session, "--no-report"}).exit_code == 0);
  const std::string before = test::get(fs::path(session) / "result.json");
  const std::string damaged =
      "{\"record\":\"marks\",\"format\":\"thumblight-marks\",\"version\":1}\n{\n";
  test::put(fs::path(session) / "marks.jsonl", damaged);
  const test::Answer answer = test::analyse({"measure", session, "--no-report"});
  CHECK(answer.exit_code == 1);
  CHECK_THAT(answer.err, Contains("marks.jsonl, line 2"));
  CHECK(test::get(fs::path(session) / "result.json") == before);
  CHECK(test::get(fs::path(session) / "marks.jsonl") == damaged);
}

TEST_CASE("dragged regions go before those of setup.json, and options before both") {
  const test::TemporaryFolder folder;
  const fs::path session = folder.path() / "one";
  fs::create_directory(session);
  test::MadeFilm film;
  test::schedule(film, 4, [](int) { return 0.04; });
  test::make(film, session / "camera.mp4");
  test::put(session / "setup.json",
            R"({"regions":{"patch":{"x":150,"y":10,"w":20,"h":20}},"readout_s":0})");
  const std::string camera = (session / "camera.mp4").string();
  const auto patch_left = [&] { return found_in(session).recording.camera->patch->x; };
  const test::Answer stated = test::analyse({"extract", camera, "--no-pictures"});
  INFO(stated.err);
  REQUIRE(stated.exit_code == 0);
  CHECK_THAT(stated.err, !Contains("regions:"));
  CHECK(patch_left() > 130);
  SessionMarks(session, {})
      .drag_region("patch", {test::kPatchX, test::kPatchY, test::kPatchW, test::kPatchH});
  const test::Answer dragged = test::analyse({"extract", camera, "--no-pictures"});
  INFO(dragged.err);
  REQUIRE(dragged.exit_code == 0);
  CHECK_THAT(dragged.err, Contains("regions: patch as dragged by hand (marks.jsonl)"));
  CHECK(patch_left() < 40);
  CHECK(found_in(session).presses.size() == 4);
  REQUIRE(
      test::analyse({"extract", camera, "--no-pictures", "--patch", "150,10,20,20"}).exit_code ==
      0);
  CHECK(patch_left() > 130);
}

TEST_CASE("where nothing is found in a recording, what was marked in it is measured") {
  const test::TemporaryFolder folder;
  const fs::path session = folder.path() / "one";
  fs::create_directory(session);
  test::MadeFilm film;
  film.lamp = false;
  film.seconds = 2;
  test::make(film, session / "camera.mp4");
  CHECK(test::analyse({"measure", session.string()}).exit_code == 1);
  {
    SessionMarks marks(session, {});
    for (int k = 0; k < 3; ++k) {
      const double t_s = 0.5 + 0.4 * k;
      const std::int64_t index = marks.add_press(What::kPress, {t_s, kMeasuredFrame_s, {}});
      marks.mark(index, What::kLight, {t_s + (12 + k) * kMeasuredFrame_s, kMeasuredFrame_s, {}});
    }
  }
  const test::Answer answer = test::analyse({"measure", session.string()});
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  const json result = result_in(session);
  CHECK(result["summary"]["total_ms"]["n"] == 3);
  CHECK(result["summary"]["total_ms"]["mean"].get<double>() ==
        Approx(13e3 * kMeasuredFrame_s).margin(1e-4));
  CHECK(result["by_hand"]["added"] == 3);
  CHECK_THAT(answer.err, Contains("nothing-found"));
  CHECK(found_in(session).presses.empty());
  CHECK(test::analyse({"split", session.string()}).exit_code == 0);
}
