#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "analysis/onset/timings_writer.hpp"
#include "harness/session/encode.hpp"
#include "tests/analysis/made_up_session.hpp"
#include "tests/bench/child_process.hpp"
#include "tests/session/sample_log.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::test;
namespace fs = std::filesystem;
using nlohmann::json;

namespace {

constexpr double kTimeout_s = 60;

void write_file(const fs::path& file, const std::string& text) {
  std::ofstream output(file, std::ios::binary);
  output << text;
  REQUIRE(output.good());
}

std::string read_file(const fs::path& file) {
  std::ifstream input(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(input), {}};
}

/// What a run of the program came to.
struct Outcome {
  int code = -1;
  std::string out;
  std::string err;
};

/// A session folder, and a place beside it for what the program prints.
class Fixture {
 public:
  Fixture() {
    fs::create_directory(session());
    Dice dice(31);
    const MadeUpSession made = make_session(uneven_presses(15, dice), {4000, 0.0001}, 0.0005);
    write_file(session() / "timings.json", onset::encode_timings_json(made.timings));
    std::string log = session::encode(sample_header()) + '\n';
    for (const session::Press& press : made.log.presses) {
      log += session::encode(press) + '\n';
    }
    write_file(session() / "session.jsonl", log + session::encode(*made.log.end) + '\n');
  }

  Outcome run(std::vector<std::string> arguments,
              std::map<std::string, std::string> environment = {}) const {
    bench::ChildPlan plan;
    plan.program = ANALYSIS;
    plan.arguments = std::move(arguments);
    plan.environment = std::move(environment);
    plan.stdout_file = folder_.path() / "out.txt";
    plan.stderr_file = folder_.path() / "err.txt";
    const int code = bench::run_program(plan, kTimeout_s);
    return {code, read_file(plan.stdout_file), read_file(plan.stderr_file)};
  }

  fs::path session() const { return folder_.path() / "evening-1"; }
  fs::path path(const std::string& name) const { return folder_.path() / name; }

  /// How many entries the session folder has.
  std::size_t entries() const {
    return static_cast<std::size_t>(
        std::distance(fs::directory_iterator(session()), fs::directory_iterator()));
  }

 private:
  TemporaryFolder folder_;
};

std::size_t lines_in(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace

TEST_CASE_METHOD(Fixture, "split writes result.json and prints a table") {
  const Outcome outcome = run({"split", session().string()});
  INFO(outcome.err);
  REQUIRE(outcome.code == 0);
  CHECK_THAT(outcome.out, Catch::Contains("15 presses in the recording, 15 in the log, 15 paired"));
  CHECK_THAT(outcome.out, Catch::Contains("remainder"));
  CHECK_THAT(outcome.out, Catch::Contains("controller: heron"));
  CHECK(outcome.err.empty());
  const json result = json::parse(read_file(session() / "result.json"));
  for (const char* key : {"format", "version", "presses", "summary", "clock_link", "flip",
                          "pairing", "recording", "labels", "pacing", "warnings"}) {
    INFO(key);
    CHECK(result.contains(key));
  }
  CHECK(result.at("clock_link").at("kind") == "causality");
  CHECK(result.at("presses").size() == 15);
  CHECK(result.at("labels").at("controller") == "heron");
  CHECK(entries() == 3);
}

TEST_CASE_METHOD(Fixture, "a second run replaces the result and keeps its rights") {
  write_file(session() / "result.json", std::string(1 << 20, 'x'));
  REQUIRE(::chmod((session() / "result.json").c_str(), 0640) == 0);
  REQUIRE(run({"split", session().string()}).code == 0);
  CHECK(json::parse(read_file(session() / "result.json")).at("version") == 1);
  CHECK(fs::status(session() / "result.json").permissions() == fs::perms{0640});
  CHECK(entries() == 3);
}

TEST_CASE_METHOD(Fixture, "a table of frames alone gives the total") {
  write_file(path("marks.csv"), "press_frame,light_frame\n100,110\n400,412\n800,811\n");
  const Outcome outcome = run(
      {"split", "--timings", path("marks.csv").string(), "--capture-rate", "240", "--out", "-"});
  REQUIRE(outcome.code == 0);
  const json result = json::parse(outcome.out);
  CHECK(result.at("summary").at("total_ms").at("mean") == Approx(11e3 / 240));
  CHECK(result.at("summary").at("render_ms").is_null());
  CHECK(result.at("clock_link").at("kind") == "none");
}

TEST_CASE_METHOD(Fixture, "--out - gives JSON alone on standard output") {
  const Outcome outcome = run({"split", session().string(), "--out", "-"});
  REQUIRE(outcome.code == 0);
  CHECK(json::parse(outcome.out).at("format") == "thumblight-result");
  CHECK_FALSE(fs::exists(session() / "result.json"));
}

TEST_CASE_METHOD(Fixture, "--quiet prints nothing but errors") {
  // A log without its end, so that there is something to warn of.
  const std::string log = read_file(session() / "session.jsonl");
  write_file(session() / "session.jsonl", log.substr(0, log.find("{\"record\":\"end\"")));
  const Outcome loud = run({"split", session().string()});
  CHECK_THAT(loud.err, Catch::Contains("[log-unfinished]") && Catch::Contains("to try: "));
  const Outcome quiet = run({"--quiet", "split", session().string()});
  CHECK(quiet.code == 0);
  CHECK(quiet.out.empty());
  CHECK(quiet.err.empty());
  CHECK(fs::exists(session() / "result.json"));
  const Outcome piped = run({"split", session().string(), "--quiet", "--out", "-"});
  CHECK(piped.err.empty());
  CHECK_NOTHROW(json::parse(piped.out));
  CHECK_FALSE(run({"split", path("none").string(), "--quiet"}).err.empty());
}

TEST_CASE_METHOD(Fixture, "--version and --help") {
  const Outcome version = run({"--version"});
  CHECK(version.code == 0);
  CHECK(version.out == "thumblight-analysis " THUMBLIGHT_VERSION "\n");
  const Outcome help = run({"--help"});
  CHECK(help.code == 0);
  CHECK(help.err.empty());
  CHECK_THAT(help.out, Catch::Contains("split"));
  const Outcome verb = run({"split", "--help"});
  CHECK(verb.code == 0);
  CHECK_THAT(verb.out, Catch::Contains("Examples:\n  thumblight-analysis split "));
}

TEST_CASE_METHOD(Fixture, "failures are one sentence and exit code 1, and leave nothing behind") {
  write_file(path("bad.csv"), "press_s,light_s\n1,2\n2,nan\n");
  write_file(path("empty.csv"), "press_s,light_s\n");
  fs::create_directory(path("folder"));
  const std::string good = (session() / "timings.json").string();
  struct Failure {
    std::vector<std::string> arguments;
    std::string said;
  };
  const std::vector<Failure> failures = {
      {{"split", path("none").string()}, "is no folder"},
      {{"split", path("folder").string()}, "holds neither timings.json nor timings.csv"},
      {{"split", "--timings", path("none.csv").string()}, "none.csv: cannot be read"},
      {{"split", "--timings", path("bad.csv").string()}, "bad.csv, line 3: 'nan'"},
      {{"split", "--timings", path("empty.csv").string()}, "hold no press"},
      {{"split", "--timings", good, "--log", path("none.jsonl").string()}, "none.jsonl"},
      {{"split", "--timings", good, "--log", good}, "timings.json"},
      {{"split", session().string(), "--out", path("no/such/folder.json").string()},
       "cannot be written"},
      {{"split", session().string(), "--out", path("folder").string()}, "cannot be written"},
  };
  for (const Failure& failure : failures) {
    const Outcome outcome = run(failure.arguments);
    INFO(outcome.err);
    CHECK(outcome.code == 1);
    CHECK(outcome.out.empty());
    CHECK(lines_in(outcome.err) == 1);
    CHECK_THAT(outcome.err,
               Catch::StartsWith("thumblight-analysis: ") && Catch::Contains(failure.said));
    CHECK(entries() == 2);
  }
}

TEST_CASE_METHOD(Fixture, "an output that cannot be written is told before anything is read") {
  write_file(session() / "timings.json", "not read");
  const Outcome outcome = run({"split", session().string(), "--out", path("no/result").string()});
  CHECK(outcome.code == 1);
  CHECK_THAT(outcome.err, Catch::Contains("no/result: cannot be written"));
}

TEST_CASE_METHOD(Fixture, "a failed run leaves the earlier result as it was") {
  write_file(session() / "result.json", "earlier");
  write_file(session() / "timings.json", "{");
  CHECK(run({"split", session().string()}).code == 1);
  CHECK(read_file(session() / "result.json") == "earlier");
  CHECK(entries() == 3);
}

TEST_CASE_METHOD(Fixture, "a full device is an error, not a result") {
  const Outcome file = run({"split", session().string(), "--out", "/dev/full"});
  CHECK(file.code == 1);
  CHECK_THAT(file.err, Catch::Contains("/dev/full: cannot be written"));
  bench::ChildPlan plan;
  plan.program = ANALYSIS;
  plan.stdout_file = "/dev/full";
  plan.arguments = {"split", session().string(), "--out", "-"};
  CHECK(bench::run_program(plan, kTimeout_s) == 1);
}

TEST_CASE_METHOD(Fixture, "a table that standard output does not take is an error") {
  bench::ChildPlan plan;
  plan.program = ANALYSIS;
  plan.stdout_file = "/dev/full";
  plan.arguments = {"split", session().string()};
  CHECK(bench::run_program(plan, kTimeout_s) == 1);
}

TEST_CASE_METHOD(Fixture, "wrong usage is exit code 2") {
  const std::string folder = session().string();
  const std::string timings = (session() / "timings.json").string();
  const std::vector<std::vector<std::string>> usages = {
      {},
      {"spilt", folder},
      {"split"},
      {"split", folder, "--no-such-option"},
      {"split", folder, "--clock-link", "guess"},
      {"split", folder, "--capture-rate", "0"},
      {"split", folder, "--capture-rate", "fast"},
      {"split", folder, "--capture-rate", "nan"},
      {"split", folder, "--capture-rate", "inf"},
      {"split", folder, "--capture-rate", "240fps"},
      {"split", folder, folder},
      {"split", "--timings", timings, "--clock-link", "shared"},
      {"split", folder, "--out", timings},
  };
  for (const std::vector<std::string>& arguments : usages) {
    const Outcome outcome = run(arguments);
    INFO(outcome.err);
    CHECK(outcome.code == 2);
    CHECK(outcome.out.empty());
    CHECK_FALSE(outcome.err.empty());
    CHECK(entries() == 2);
  }
  CHECK(read_file(timings).front() == '{');
}

TEST_CASE_METHOD(Fixture, "the environment's locale changes nothing") {
  const Outcome plain = run({"split", session().string(), "--out", "-"}, {{"LC_ALL", "C"}});
  const Outcome german = run({"split", session().string(), "--out", "-"}, {{"LC_ALL", "de_DE"}});
  REQUIRE(plain.code == 0);
  CHECK(german.code == 0);
  CHECK(german.out == plain.out);
}
