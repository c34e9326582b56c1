#include <signal.h>
#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <map>

#include "tests/analysis/campaign_bench.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::Outcome;
namespace fs = std::filesystem;

namespace {

constexpr std::size_t kSessions = 24;

std::vector<test::SimulatedSetUp> many() {
  std::vector<test::SimulatedSetUp> set_ups;
  for (std::size_t k = 0; k < kSessions; ++k) {
    test::SimulatedSetUp set_up;
    set_up.folder = "session-" + std::to_string(100 + k);
    set_up.delivery_ms = 4 + static_cast<double>(k % 5);
    set_ups.push_back(set_up);
  }
  return set_ups;
}

struct Written {
  std::string text;
  ino_t inode = 0;
};

/// The results that are there, each of which must be whole.
std::map<std::string, Written> results_in(const fs::path& campaign) {
  std::map<std::string, Written> results;
  for (const fs::directory_entry& session : fs::directory_iterator(campaign)) {
    const fs::path file = session.path() / "result.json";
    struct stat found {};
    if (::stat(file.c_str(), &found) == 0) {
      Written written{test::get(file), found.st_ino};
      CHECK(json::accept(written.text));
      results[session.path().filename().string()] = std::move(written);
    }
  }
  return results;
}

std::size_t files_in(const fs::path& folder) {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

/// How many lines tell of a session that was measured.
std::size_t measured_lines(const std::string& out) {
  std::size_t count = 0;
  std::istringstream lines(out);
  for (std::string line; std::getline(lines, line);) {
    count += line.find(": total ") != std::string::npos ? 1 : 0;
  }
  return count;
}

void wait_for_results(const fs::path& campaign, std::size_t count) {
  constexpr int kLongest = 60'000;  // milliseconds, for a machine that does something else
  for (int k = 0; k < kLongest; ++k) {
    std::size_t found = 0;
    for (const fs::directory_entry& session : fs::directory_iterator(campaign)) {
      found += fs::exists(session.path() / "result.json") ? 1 : 0;
    }
    if (found >= count) {
      return;
    }
    ::usleep(1'000);
  }
}

}  // namespace

TEST_CASE("measure: killed in the middle, a campaign goes on where it was") {
  for (const std::size_t after : {0U, 1U, 5U, 17U}) {
    CAPTURE(after);
    const test::TemporaryFolder folder;
    const std::string campaign = test::put_campaign(folder.path(), many(), 200);
    test::RunningProgram killed(THUMBLIGHT_ANALYSIS_PROGRAM, {"measure", campaign, "--jobs", "2"});
    wait_for_results(campaign, after);
    killed.signal(SIGKILL);
    killed.finish();
    const auto before = results_in(campaign);
    CHECK(before.size() >= after);

    const Outcome again = test::run_program(THUMBLIGHT_ANALYSIS_PROGRAM, {"measure", campaign});
    CHECK(again.exit_code == 0);
    CHECK(measured_lines(again.out) == kSessions - before.size());
    const auto now = results_in(campaign);
    CHECK(now.size() == kSessions);
    for (const auto& [name, written] : before) {
      CHECK(now.at(name).inode == written.inode);  // the very file: nothing was done twice
      CHECK(now.at(name).text == written.text);
    }
    // The same as without a break: the inputs are the same files, so every byte is.
    for (const auto& [name, written] : now) {
      fs::remove(fs::path(campaign) / name / "result.json");
      // Log, timings, and nothing that the killed program left behind.
      CHECK(files_in(fs::path(campaign) / name) == 2);
    }
    CHECK(test::run_program(THUMBLIGHT_ANALYSIS_PROGRAM, {"measure", campaign}).exit_code == 0);
    for (const auto& [name, written] : results_in(campaign)) {
      CHECK(now.at(name).text == written.text);
    }
  }
}

TEST_CASE("measure: leavings of a killed program go, a person's files stay") {
  const test::TemporaryFolder folder;
  const std::string session = test::put_session(folder.path() / "a", test::simulated(many()[0], 1));
  for (const char* name : {".result.json.part-Ab12Cd", ".timings.json.part-zzzzzz",
                           "result.json.backup", ".result.json.part"}) {
    test::put(fs::path(session) / name, "x");
  }
  CHECK(test::run_program(THUMBLIGHT_ANALYSIS_PROGRAM, {"measure", session}).exit_code == 0);
  CHECK_FALSE(fs::exists(fs::path(session) / ".result.json.part-Ab12Cd"));
  CHECK_FALSE(fs::exists(fs::path(session) / ".timings.json.part-zzzzzz"));
  CHECK(fs::exists(fs::path(session) / "result.json.backup"));
  CHECK(fs::exists(fs::path(session) / ".result.json.part"));
}

TEST_CASE("measure: two at once on one campaign share the work") {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), many(), 200);
  test::RunningProgram one(THUMBLIGHT_ANALYSIS_PROGRAM, {"measure", campaign, "--jobs", "2"});
  test::RunningProgram other(THUMBLIGHT_ANALYSIS_PROGRAM, {"measure", campaign, "--jobs", "2"});
  const Outcome of_one = one.finish();
  const Outcome of_other = other.finish();
  CHECK(of_one.exit_code == 0);
  CHECK(of_other.exit_code == 0);
  CHECK(of_one.err.empty());
  CHECK(of_other.err.empty());
  CHECK(measured_lines(of_one.out) + measured_lines(of_other.out) == kSessions);
  CHECK(results_in(campaign).size() == kSessions);
  CHECK_THAT(test::run_program(THUMBLIGHT_ANALYSIS_PROGRAM, {"measure", campaign}).out,
             Contains("0 measured, 24 up to date, 0 broken"));
}
