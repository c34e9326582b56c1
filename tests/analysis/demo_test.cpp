#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>

#include "analysis/rehearsal/scenario.hpp"
#include "tests/analysis/verb_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::analyse;
using test::Answer;
namespace fs = std::filesystem;

namespace {

/// One session with a lamp on the host and one without a log.
constexpr char kSplit[] = "wren-wireless-monitor";
constexpr char kAlone[] = "wren-wired-console";

Answer demo(const fs::path& folder) {
  return analyse({"demo", folder.string(), "--sessions", std::string(kSplit) + "," + kAlone});
}

json parsed(const fs::path& file) {
  return json::parse(test::get(file));
}

double ms(const json& press, const char* from, const char* to) {
  return 1e3 * (press.at(json::json_pointer(to)).get<double>() -
                press.at(json::json_pointer(from)).get<double>());
}

/// The true mean over the session's own presses.
double true_mean_ms(const json& truth, const char* from, const char* to) {
  double sum_ms = 0;
  for (const json& press : truth["presses"]) {
    sum_ms += ms(press, from, to);
  }
  return sum_ms / static_cast<double>(truth["presses"].size());
}

void check_within(const json& said, double truth_ms, const char* what) {
  CAPTURE(what, said["mean"].get<double>(), said["ci95"].dump(), truth_ms);
  CHECK(said["ci95"][0].get<double>() <= truth_ms);
  CHECK(said["ci95"][1].get<double>() >= truth_ms);
}

/// Each press' total lies within what is stated of it, the mean within what the instants leave.
void check_totals(const json& result, const json& truth) {
  const std::size_t n = truth["presses"].size();
  REQUIRE(result["presses"].size() == n);
  double error_ms = 0;
  double squares = 0;
  for (std::size_t k = 0; k < n; ++k) {
    const json& press = result["presses"][k];
    const double off_ms =
        press["total_ms"].get<double>() - ms(truth["presses"][k], "/press_s", "/flash/light_s");
    const double u_ms = press["total_u_ms"].get<double>();
    CAPTURE(k, off_ms, u_ms);
    CHECK(std::abs(off_ms) <= 4 * u_ms);
    error_ms += off_ms / static_cast<double>(n);
    squares += u_ms * u_ms;
  }
  // As if the instants of all presses were off alike.
  CHECK(std::abs(error_ms) <= 2 * std::sqrt(squares / static_cast<double>(n)));
}

double stated_ms(const std::string& folder) {
  const rehearsal::Scenario scenario = rehearsal::demo_scenario();
  for (const rehearsal::ScenarioSession& session : scenario.sessions) {
    if (session.folder == folder) {
      double sum_ms = scenario.reference_ms;
      for (const std::string& part : session.parts) {
        sum_ms += scenario.effects_ms.at(part);
      }
      return sum_ms;
    }
  }
  return -1;
}

}  // namespace

TEST_CASE("demo: what it measures is what it made") {
  const test::TemporaryFolder folder;
  const fs::path arcade = folder.path() / "arcade";
  const Answer answer = demo(arcade);
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  CHECK_THAT(answer.out, Contains((arcade / "set-ups.png").string()) &&
                             Contains((arcade / "comparison.json").string()) &&
                             Contains("The answer: "));
  CHECK(parsed(arcade / "comparison.json")["sessions"].size() == 2);
  CHECK(test::get(arcade / "set-ups.png").substr(1, 3) == "PNG");

  const json truth = parsed(arcade / kSplit / "truth.json");
  const json result = parsed(arcade / kSplit / "result.json");
  check_totals(result, truth);
  check_totals(parsed(arcade / kAlone / "result.json"), parsed(arcade / kAlone / "truth.json"));
  const json& summary = result["summary"];
  check_within(summary["total_ms"], true_mean_ms(truth, "/press_s", "/flash/light_s"), "total");
  check_within(summary["delivery_ms"], true_mean_ms(truth, "/press_s", "/arrival_s"), "delivery");
  check_within(summary["screen_ms"], true_mean_ms(truth, "/flash/flip_s", "/flash/light_s"),
               "screen");
  // The mean in the long run, which these seeds do not miss.
  for (const char* session : {kSplit, kAlone}) {
    const json said = parsed(arcade / session / "result.json")["summary"]["total_ms"];
    check_within(said, stated_ms(session), session);
  }
  const json alone = parsed(arcade / kAlone / "result.json")["summary"];
  CHECK(alone["delivery_ms"].is_null());
  CHECK(alone["screen_ms"].is_null());

  SECTION("what is finished is not done again, what is not is") {
    const auto measured = fs::last_write_time(arcade / kSplit / "result.json");
    const auto filmed = fs::last_write_time(arcade / kAlone / "camera.mp4");
    fs::remove(arcade / kAlone / "result.json");
    fs::remove(arcade / "set-ups.png");
    const Answer again = demo(arcade);
    CHECK(again.exit_code == 0);
    CHECK(again.out == answer.out);
    CHECK(fs::last_write_time(arcade / kSplit / "result.json") == measured);
    CHECK(fs::last_write_time(arcade / kAlone / "camera.mp4") == filmed);
    CHECK(fs::exists(arcade / "set-ups.png"));
  }
  SECTION("a film that was left half made is made anew") {
    fs::rename(arcade / kAlone, arcade / (std::string(".") + kAlone + ".part"));
    fs::remove(arcade / (std::string(".") + kAlone + ".part") / "truth.json");
    CHECK(demo(arcade).out == answer.out);
    CHECK_FALSE(fs::exists(arcade / (std::string(".") + kAlone + ".part")));
  }
}

TEST_CASE("demo: what is in the way is left alone and named") {
  const test::TemporaryFolder folder;
  fs::create_directories(folder.path() / kSplit);
  test::put(folder.path() / kSplit / "mine.txt", "mine");
  const Answer answer = demo(folder.path());
  CHECK(answer.exit_code == 1);
  CHECK_THAT(answer.err, Contains(kSplit) && Contains("choose another folder"));
  CHECK(test::get(folder.path() / kSplit / "mine.txt") == "mine");
  CHECK(analyse({"demo"}).exit_code == 2);
  CHECK(analyse({"demo", folder.path().string(), "--sessions", "no-such"}).exit_code == 2);
  CHECK(analyse({"demo", folder.path().string(), "--sessions", kSplit}).exit_code == 2);
}
