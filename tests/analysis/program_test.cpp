#include <signal.h>
#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "analysis/onset/timings_writer.hpp"
#include "harness/session/encode.hpp"
#include "tests/analysis/simulated_session.hpp"
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

void put(const fs::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary) << text;
}

std::string get(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

std::string encode_log(const session::Log& log) {
  std::string text = session::encode(log.header) + '\n';
  for (const session::Press& press : log.presses) {
    text += session::encode(press) + '\n';
  }
  return text + session::encode(*log.end) + '\n';
}

/// A session folder with its log and its timings.
class SessionFolder {
 public:
  explicit SessionFolder(const test::Bench& bench = {}) {
    std::mt19937 random(123);
    session_ = test::observe(bench, test::simulate(bench, random));
    put(path() / "session.jsonl", encode_log(session_.log));
    put(path() / "timings.json", onset::encode_timings_json(session_.timings));
  }

  fs::path path() const { return folder_.path(); }
  std::string name() const { return path().string(); }
  const test::SimulatedSession& session() const { return session_; }

  std::size_t files() const {
    return static_cast<std::size_t>(
        std::distance(fs::directory_iterator(path()), fs::directory_iterator()));
  }

 private:
  test::TemporaryFolder folder_;
  test::SimulatedSession session_;
};

}  // namespace

TEST_CASE("a session folder gives a table and result.json, and the exit code 0") {
  const SessionFolder folder;
  const Outcome outcome = analyse({"split", folder.name()});
  CHECK(outcome.exit_code == 0);
  CHECK_THAT(outcome.out, Contains("total") && Contains("mean within"));
  CHECK(outcome.err.empty());
  const json result = json::parse(get(folder.path() / "result.json"));
  CHECK(result["pairing"]["paired"] == 40);
  CHECK(result["clock_link"]["kind"] == "causality");
  CHECK(folder.files() == 3);
  CHECK(analyse({"split", folder.name()}).exit_code == 0);
  CHECK(folder.files() == 3);
}

TEST_CASE("timings on the host's clock are split in full by default") {
  test::Bench bench;
  bench.offset_s = -1'000'000;
  SessionFolder folder(bench);
  onset::Timings timings = folder.session().timings;
  timings.recording.clock.source = "host";
  put(folder.path() / "timings.json", onset::encode_timings_json(timings));
  CHECK(analyse({"split", folder.name()}).exit_code == 0);
  const json result = json::parse(get(folder.path() / "result.json"));
  CHECK(result["clock_link"]["kind"] == "shared");
  CHECK(result["summary"]["delivery_ms"]["n"] == 40);
  // Simulated: uniform from 4 to 10 ms.
  CHECK(result["summary"]["delivery_ms"]["mean"].get<double>() == Approx(7).margin(1));
  CHECK(analyse({"split", folder.name(), "--clock-link", "none"}).exit_code == 0);
  CHECK(json::parse(get(folder.path() / "result.json"))["summary"]["delivery_ms"].is_null());
}

TEST_CASE("a table by hand, without a log") {
  const test::TemporaryFolder folder;
  put(folder.path() / "marks.csv", "press_frame,light_frame\n10,15\n300,306\n");
  const Outcome outcome =
      analyse({"split", "--timings", "marks.csv", "--capture-rate", "240"}, folder.path().string());
  CHECK(outcome.exit_code == 0);
  CHECK_THAT(outcome.out, Contains("total") && Contains("there is no log"));
  CHECK_FALSE(fs::exists(folder.path() / "result.json"));
  put(folder.path() / "timings.csv", "press_s,light_s\n1,1.04\n2,2.05\n");
  CHECK(analyse({"split", folder.path().string()}).exit_code == 0);
  CHECK(fs::exists(folder.path() / "result.json"));
}

TEST_CASE("--out - gives JSON on stdout alone, and --quiet nothing else") {
  const SessionFolder folder;
  put(folder.path() / "marks.csv", "press_s,light_s\n1,1.04\n2,2.05");
  const std::string marks = (folder.path() / "marks.csv").string();
  const Outcome loud = analyse({"split", "--timings", marks, "--out", "-"});
  CHECK(json::parse(loud.out)["format"] == "thumblight-result");
  CHECK_THAT(loud.err, Contains("warning:") && Contains("to try:"));
  const Outcome quiet = analyse({"split", "--timings", marks, "--out", "-", "--quiet"});
  CHECK(quiet.out == loud.out);
  CHECK(quiet.err.empty());
  const Outcome silent = analyse({"--quiet", "split", folder.name()});
  CHECK(silent.exit_code == 0);
  CHECK(silent.out.empty());
  CHECK(silent.err.empty());
  CHECK(fs::exists(folder.path() / "result.json"));
}

TEST_CASE("help and version end well; every verb has an example") {
  CHECK(analyse({"--version"}).out == "thumblight-analysis " THUMBLIGHT_VERSION "\n");
  CHECK(analyse({"--version"}).exit_code == 0);
  const Outcome help = analyse({"--help"});
  CHECK(help.exit_code == 0);
  CHECK_THAT(help.out, Contains("split"));
  const Outcome verb = analyse({"split", "--help"});
  CHECK(verb.exit_code == 0);
  CHECK_THAT(verb.out, Contains("Examples:") && Contains("--clock-link"));
}

TEST_CASE("wrong usage has the exit code 2 and one sentence") {
  const SessionFolder folder;
  const std::string timings = (folder.path() / "timings.json").string();
  const std::vector<std::vector<std::string>> wrong = {
      {},
      {"dance"},
      {"split"},
      {"split", "--timings"},
      {"split", folder.name(), "--clock-link", "magic"},
      {"split", folder.name(), "--capture-rate", "-5"},
      {"split", folder.name(), "--capture-rate", "fast"},
      {"split", folder.name(), "--capture-rate", "nan"},
      {"split", "--timings", timings, "--clock-link", "shared"},
      {"split", "--timings", timings, "--out", timings},
      {"split", folder.name(), "--unknown"},
  };
  for (const std::vector<std::string>& arguments : wrong) {
    const Outcome outcome = analyse(arguments);
    INFO(outcome.err);
    CHECK(outcome.exit_code == 2);
    CHECK(outcome.out.empty());
    CHECK_FALSE(outcome.err.empty());
  }
  CHECK(get(timings) == onset::encode_timings_json(folder.session().timings));
}

TEST_CASE("what cannot be read has the exit code 1, one line, and leaves no result") {
  const SessionFolder folder;
  const test::TemporaryFolder empty;
  const auto fails = [](const std::vector<std::string>& arguments, const std::string& sentence) {
    const Outcome outcome = analyse(arguments);
    INFO(outcome.err);
    CHECK(outcome.exit_code == 1);
    CHECK(outcome.out.empty());
    CHECK_THAT(outcome.err, Contains(sentence));
    CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 1);
  };
  fails({"split", "/nonexistent"}, "is no folder");
  fails({"split", empty.path().string()}, "neither timings.json nor timings.csv");
  fails({"split", "--timings", "/nonexistent.csv"}, "/nonexistent.csv: cannot be read");
  fails({"split", folder.name(), "--log", "/nonexistent"}, "/nonexistent: cannot be read");
  put(empty.path() / "timings.csv", "press_s,light_s\n1,2\n3,x\n");
  fails({"split", empty.path().string()}, "line 3: 'x' is not a number of seconds");
  put(empty.path() / "timings.csv", "press_s,light_s\n");
  fails({"split", empty.path().string()}, "no press");
  put(empty.path() / "timings.csv", "press_frame,light_frame\n1,2\n");
  fails({"split", empty.path().string()}, "--capture-rate");
  CHECK_FALSE(fs::exists(empty.path() / "result.json"));
  put(folder.path() / "session.jsonl", "nonsense\n");
  fails({"split", folder.name()}, "session.jsonl, line 1");
  CHECK(folder.files() == 2);
}

TEST_CASE("an output that cannot be written fails before the work") {
  const SessionFolder folder;
  // The timings are bad as well: the output is the first to be looked at.
  put(folder.path() / "timings.json", "nonsense");
  for (const std::string out : {"/nonexistent/result.json", "/proc/result.json"}) {
    const Outcome outcome = analyse({"split", folder.name(), "--out", out});
    CHECK(outcome.exit_code == 1);
    CHECK_THAT(outcome.err, Contains(out + ": cannot be written"));
  }
  const Outcome onto_folder = analyse({"split", folder.name(), "--out", folder.name()});
  CHECK(onto_folder.exit_code == 1);
  CHECK_THAT(onto_folder.err, Contains("cannot be written"));
  CHECK(folder.files() == 2);
}

TEST_CASE("devices are written as they stand, and a full one is a failure") {
  const SessionFolder folder;
  CHECK(analyse({"split", folder.name(), "--out", "/dev/null"}).exit_code == 0);
  CHECK(fs::is_character_file("/dev/null"));
  const Outcome full = analyse({"split", folder.name(), "--out", "/dev/full"});
  CHECK(full.exit_code == 1);
  CHECK_THAT(full.err, Contains("/dev/full: cannot be written"));
}

TEST_CASE("a table that standard output cannot take is a failure") {
  const SessionFolder folder;
  const Outcome full = test::run_program(
      "/bin/sh", {"-c", THUMBLIGHT_ANALYSIS_PROGRAM " split '" + folder.name() + "' > /dev/full"});
  CHECK(full.exit_code == 1);
  CHECK_THAT(full.err, Contains("standard output cannot be written"));
}

TEST_CASE("a link to a result stays a link, and an old result its rights") {
  const SessionFolder folder;
  const test::TemporaryFolder elsewhere;
  const fs::path target = elsewhere.path() / "kept.json";
  put(target, "old");
  fs::permissions(target, fs::perms(0640));
  fs::create_symlink(target, folder.path() / "result.json");
  CHECK(analyse({"split", folder.name()}).exit_code == 0);
  CHECK(fs::is_symlink(folder.path() / "result.json"));
  CHECK(json::parse(get(target))["version"] == 1);
  CHECK(fs::status(target).permissions() == fs::perms(0640));
}

TEST_CASE("an interrupt ends with 130 and leaves nothing behind") {
  const SessionFolder folder;
  const fs::path pipe = folder.path() / "never-written";
  REQUIRE(mkfifo(pipe.c_str(), 0600) == 0);
  const std::size_t before = folder.files();
  test::RunningProgram program(THUMBLIGHT_ANALYSIS_PROGRAM,
                               {"split", folder.name(), "--timings", pipe.string()});
  // Opening the pipe succeeds once the program waits for its text; then it is at work.
  std::ofstream writer(pipe);
  REQUIRE(writer.good());
  program.signal(SIGINT);
  const Outcome outcome = program.finish();
  CHECK(outcome.exit_code == 130);
  CHECK(outcome.out.empty());
  CHECK(folder.files() == before);
}

TEST_CASE("ten thousand presses go through the program whole") {
  test::Bench bench;
  bench.presses = 10'000;
  const SessionFolder folder(bench);
  const Outcome outcome = analyse({"split", folder.name(), "--quiet"});
  CHECK(outcome.exit_code == 0);
  const json result = json::parse(get(folder.path() / "result.json"));
  CHECK(result["presses"].size() == 10'000);
  CHECK(result["pairing"]["paired"] == 10'000);
}
