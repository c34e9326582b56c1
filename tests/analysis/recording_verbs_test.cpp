#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::Outcome;
namespace fs = std::filesystem;

namespace {

Outcome analyse(const std::vector<std::string>& arguments, const std::string& folder = "") {
  return test::run_program(THUMBLIGHT_ANALYSIS_PROGRAM, arguments, folder);
}

json parsed(const fs::path& file) {
  std::ifstream stream(file);
  return json::parse(stream);
}

void put(const fs::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary) << text;
}

/// A small rehearsed session with settings on top of the defaults.
class Rehearsed {
 public:
  explicit Rehearsed(const std::string& settings = "{}") {
    put(folder_.path() / "settings.json", settings);
    const Outcome made = analyse({"rehearse", name(), "--settings",
                                  (folder_.path() / "settings.json").string(), "--presses", "8"});
    INFO(made.err);
    REQUIRE(made.exit_code == 0);
  }
  fs::path path() const { return folder_.path() / "session"; }
  std::string name() const { return path().string(); }
  std::string recording() const { return (path() / truth()["recording"]).string(); }
  json truth() const { return parsed(path() / "truth.json"); }

 private:
  test::TemporaryFolder folder_;
};

constexpr char kSensor[] = R"({"recording":"sound"})";

double true_total_ms(const json& press) {
  return 1e3 * (press["flash"]["light_s"].get<double>() - press["press_s"].get<double>());
}

}  // namespace

TEST_CASE("a rehearsed session is measured in one step, and its totals are the true ones") {
  const Rehearsed session;
  const Outcome outcome = analyse({"measure", session.name()});
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  CHECK_THAT(outcome.out, Contains("by the lamp on the button") && Contains("total"));
  const json truth = session.truth();
  const json result = parsed(session.path() / "result.json");
  const json timings = parsed(session.path() / "timings.json");
  REQUIRE(result["presses"].size() == truth["presses"].size());
  for (std::size_t k = 0; k < truth["presses"].size(); ++k) {
    const json& timing = timings["presses"][k];
    const double u_ms = 1e3 * std::hypot(timing["press"]["u_s"].get<double>(),
                                         timing["light"]["u_s"].get<double>());
    const double error_ms =
        result["presses"][k]["total_ms"].get<double>() - true_total_ms(truth["presses"][k]);
    CHECK(std::abs(error_ms) < std::max(4 * u_ms, 0.3));
  }
  CHECK(fs::exists(session.path() / "regions.png"));
  CHECK(fs::exists(session.path() / "evidence" / "press-007.jpg"));
}

TEST_CASE("extract finds log and set-up beside the recording and writes beside it") {
  const Rehearsed session;
  const Outcome outcome = analyse({"extract", session.recording(), "--no-pictures"});
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  CHECK_THAT(outcome.out, Contains("written: ") && Contains("timings.json"));
  const json timings = parsed(session.path() / "timings.json");
  CHECK(timings["presses"].size() == 8);
  CHECK(timings["recording"]["clock"]["log_rate"].get<double>() == Approx(1).margin(3e-3));
  CHECK(timings["recording"]["camera"]["readout_source"] == "stated");
  CHECK_FALSE(fs::exists(session.path() / "evidence"));
}

TEST_CASE("extract writes to standard output, as JSON or as a table, and changes nothing then") {
  const Rehearsed session(kSensor);
  const Outcome text = analyse({"extract", session.recording(), "--out", "-"});
  REQUIRE(text.exit_code == 0);
  CHECK(json::parse(text.out)["presses"].size() == 8);
  const Outcome table = analyse({"extract", session.recording(), "--out",
                                 (session.path() / "other.json").string(), "--table", "-"});
  REQUIRE(table.exit_code == 0);
  CHECK(table.out.rfind("press_s,light_s,press_u_s,light_u_s\n", 0) == 0);
  CHECK(std::count(table.out.begin(), table.out.end(), '\n') == 9);
  CHECK_FALSE(fs::exists(session.path() / "timings.json"));
  CHECK(analyse({"extract", session.recording(), "--out", "-", "--table", "-"}).exit_code == 2);
}

TEST_CASE("what the options say goes before setup.json") {
  const Rehearsed session;
  const Outcome outcome = analyse({"extract", session.recording(), "--no-pictures", "--readout",
                                   "1.5", "--threshold", "0.5", "--quiet"});
  REQUIRE(outcome.exit_code == 0);
  CHECK(outcome.out.empty());
  const json recording = parsed(session.path() / "timings.json")["recording"];
  CHECK(recording["camera"]["readout_s"].get<double>() == Approx(0.0015));
  CHECK(recording["light"]["threshold"] == 0.5);
}

TEST_CASE("a folder with several recordings says which to take") {
  const Rehearsed session(kSensor);
  fs::copy(session.recording(), session.path() / "copy.wav");
  json setup = parsed(session.path() / "setup.json");
  setup.erase("recording");
  put(session.path() / "setup.json", setup.dump());
  const Outcome several = analyse({"measure", session.name()});
  CHECK(several.exit_code == 1);
  CHECK_THAT(several.err, Contains("more than one recording") && Contains("setup.json"));
  setup["recording"] = "copy.wav";
  put(session.path() / "setup.json", setup.dump());
  CHECK(analyse({"measure", session.name()}).exit_code == 0);
  setup["recording"] = "gone.wav";
  put(session.path() / "setup.json", setup.dump());
  CHECK_THAT(analyse({"measure", session.name()}).err, Contains("gone.wav"));
}

TEST_CASE(
    "without a recording measure takes the marks made by hand, and without those it says so") {
  const test::TemporaryFolder folder;
  const Outcome empty = analyse({"measure", folder.path().string()});
  CHECK(empty.exit_code == 1);
  CHECK_THAT(empty.err, Contains("neither a recording nor timings"));
  put(folder.path() / "timings.csv", "press_frame,light_frame\n10,18\n300,307\n");
  put(folder.path() / "setup.json", R"({"capture_rate_hz":240})");
  const Outcome marks = analyse({"measure", folder.path().string()});
  CHECK(marks.exit_code == 0);
  CHECK(parsed(folder.path() / "result.json")["summary"]["total_ms"]["mean"].get<double>() ==
        Approx(31.25));
}

TEST_CASE("wrong use of the recording verbs has the exit code 2") {
  const Rehearsed session(kSensor);
  const std::string recording = session.recording();
  for (const std::vector<std::string>& arguments :
       std::vector<std::vector<std::string>>{{},
                                             {"wave"},
                                             {"extract"},
                                             {"extract", recording, "--patch", "1,2,3"},
                                             {"extract", recording, "--patch", "1,2,3,0"},
                                             {"extract", recording, "--threshold", "nan"},
                                             {"extract", recording, "--press-from", "toe"},
                                             {"extract", recording, "--out", recording},
                                             {"extract", recording, "--table", recording},
                                             {"measure"},
                                             {"measure", session.name(), "--readout", "-1"},
                                             {"rehearse"},
                                             {"rehearse", "x", "--preset", "none"},
                                             {"rehearse", "x", "--presses", "0"}}) {
    const Outcome outcome = analyse(arguments);
    INFO(outcome.err);
    CHECK(outcome.exit_code == 2);
    CHECK(outcome.out.empty());
    CHECK_FALSE(outcome.err.empty());
  }
  CHECK(fs::file_size(recording) > 1000);
}

TEST_CASE("what cannot be measured has the exit code 1 and one sentence, and leaves no result") {
  const Rehearsed session(kSensor);
  const auto fails = [](const std::vector<std::string>& arguments, const std::string& sentence) {
    const Outcome outcome = analyse(arguments);
    INFO(outcome.err);
    CHECK(outcome.exit_code == 1);
    CHECK(outcome.out.empty());
    CHECK_THAT(outcome.err, Contains(sentence));
    CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 1);
  };
  fails({"extract", "/nonexistent.mp4"}, "/nonexistent.mp4: is not there");
  fails({"extract", session.recording(), "--setup", "/nonexistent.json"}, "is not there");
  fails({"measure", "/nonexistent"}, "is no folder");
  fails({"rehearse", session.name()}, "is there already");
  fails({"rehearse", "/proc/nowhere"}, "cannot be made");
  fails({"rehearse", "x", "--settings", "/nonexistent"}, "cannot be read");
  put(session.path() / "setup.json", R"({"readout_s":-1})");
  fails({"measure", session.name()}, "'readout_s' must be a number from");
  put(session.path() / "setup.json", "{");
  fails({"measure", session.name()}, "setup.json, line 1: not valid JSON");
  fs::remove(session.path() / "setup.json");
  put(session.recording(), "no sound at all");
  fails({"measure", session.name()}, session.recording());
  CHECK_FALSE(fs::exists(session.path() / "timings.json"));
  CHECK_FALSE(fs::exists(session.path() / "result.json"));
}

TEST_CASE("settings printed by rehearse are settings it reads") {
  const test::TemporaryFolder folder;
  const Outcome printed = analyse({"rehearse", "--preset", "old-tube", "--print-settings"});
  REQUIRE(printed.exit_code == 0);
  put(folder.path() / "tube.json", printed.out);
  const Outcome again = analyse(
      {"rehearse", "--settings", (folder.path() / "tube.json").string(), "--print-settings"});
  CHECK(again.out == printed.out);
}
