#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>

#include "analysis/report/plan.hpp"
#include "analysis/report/terminal_plan.hpp"
#include "harness/options.hpp"
#include "tests/analysis/verb_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::analyse;
using test::Answer;
namespace fs = std::filesystem;

namespace {

json plan(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), "plan");
  arguments.insert(arguments.end(), {"--out", "-"});
  const Answer answer = analyse(arguments);
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  return answer.json();
}

}  // namespace

TEST_CASE("plan: spread as theory gives it from camera, refresh and polling") {
  // Common practice: 240 images a second are one each 4.17 ms, and a count by hand from image to
  // image has a triangular error, T / sqrt 6 (JCGM 100:2008, 4.3.9); waits are rectangular,
  // T / sqrt 12 (4.3.7).
  const json answer = plan(
      {"--camera-rate", "240", "--refresh", "60", "--polling-ms", "8", "--half-width-ms", "1"});
  CHECK(answer["spread"][0]["sd_ms"].get<double>() == Approx(1.70103).margin(5e-6));
  CHECK(answer["spread"][1]["sd_ms"].get<double>() == Approx(4.81125).margin(5e-6));
  CHECK(answer["spread"][2]["sd_ms"].get<double>() == Approx(2.309401).margin(5e-6));
  CHECK(answer["sd_ms"].get<double>() == Approx(std::sqrt(2.89352 + 23.14815 + 5.33333)));
}

TEST_CASE("plan: presses for a half-width, by table G.2 of JCGM 100:2008") {
  // t(17) 2.109816 / sqrt 18 = 0.4973; t(16) 2.119905 / sqrt 17 = 0.5142.
  CHECK(plan({"--spread-ms", "1", "--half-width-ms", "0.5"})["presses"] == 18);
  CHECK(plan({"--spread-ms", "1", "--presses", "18"})["half_width_ms"].get<double>() ==
        Approx(2.109816 / std::sqrt(18.0)).epsilon(1e-6));
}

TEST_CASE("plan: presses to tell apart, as published") {
  // R's documentation of power.t.test prints n = 22.02110 for delta 1, sd 1, power 0.90; Cohen's
  // table 2.4.1 has 64 for d = 0.5 and 26 for d = 0.8 at power 0.80 (all from memory).
  CHECK(plan({"--spread-ms", "1", "--difference-ms", "1"})["presses"] == 23);
  CHECK(plan({"--spread-ms", "1", "--difference-ms", "0.5", "--power", "0.8"})["presses"] == 64);
  CHECK(plan({"--spread-ms", "1", "--difference-ms", "0.8", "--power", "0.8"})["presses"] == 26);
  CHECK(plan({"--spread-ms", "1", "--presses", "23"})["difference_ms"].get<double>() < 1);
  CHECK(plan({"--spread-ms", "1", "--presses", "22"})["difference_ms"].get<double>() > 1);
}

TEST_CASE("plan: the gap between flashes is the harness' own") {
  const harness::Options defaults;
  CHECK(report::kHoldMs == defaults.hold_ms);
  CHECK(report::kRestMs == defaults.rest_ms);
  CHECK(plan({"--spread-ms", "1", "--presses", "100"})["session_s"]["least"].get<double>() ==
        Approx(0.1 * (defaults.hold_ms + defaults.rest_ms)));
  // Two set-ups are two sessions.
  const json both = plan({"--spread-ms", "1", "--difference-ms", "1"});
  CHECK(both["session_s"]["least"].get<double>() == Approx(2 * 23 * 0.45));
}

TEST_CASE("plan: a pilot gives its spread and what lasts in its budget") {
  const test::TemporaryFolder folder;
  test::SimulatedSession session = test::simulated({}, 5);
  session.timings.recording.shared.push_back({"sound", "press", 0.0004});
  const std::string name = test::put_session(folder.path() / "first", session);
  REQUIRE(analyse({"split", name, "--quiet"}).exit_code == 0);
  const json result = json::parse(test::get(folder.path() / "first" / "result.json"));
  for (const std::string portion : {"total", "remainder"}) {
    const json answer = plan({"--pilot", name, "--portion", portion, "--half-width-ms", "2"});
    const json& summary = result["summary"][portion + "_ms"];
    CHECK(answer["sd_ms"].get<double>() == Approx(summary["sd"].get<double>()).epsilon(1e-6));
    CHECK(answer["lasting_u_ms"].get<double>() ==
          Approx(summary["budget"]["lasting_ms"].get<double>()));
    CHECK(answer["lasting_u_ms"].get<double>() >= 0.4);
    CHECK(answer["pilot"]["n"] == 40);
  }
  const json by_file = plan({"--pilot", name + "/result.json", "--half-width-ms", "2"});
  CHECK(by_file["presses"] == plan({"--pilot", name, "--half-width-ms", "2"})["presses"]);
  // What is off alike in every press of each counts once for either: sqrt 2 in a difference.
  CHECK(by_file["least_difference_ms"].get<double>() ==
        Approx(std::sqrt(2.0) * by_file["least_half_width_ms"].get<double>()));
  const Answer over = analyse(
      {"plan", "--pilot", name + "/result.json", "--presses", "9", "--out", name + "/result.json"});
  CHECK(over.exit_code == 2);
  CHECK(json::parse(test::get(folder.path() / "first" / "result.json")) == result);
}

TEST_CASE("plan: a pilot with nothing to plan by is refused with the reason") {
  const test::TemporaryFolder folder;
  const auto refusal = [&](const std::string& name, const std::string& portion) {
    const Answer answer =
        analyse({"plan", "--pilot", name, "--portion", portion, "--half-width-ms", "1"});
    CHECK(answer.exit_code == 1);
    CHECK(answer.out.empty());
    CHECK(std::count(answer.err.begin(), answer.err.end(), '\n') == 1);
    return answer.err;
  };
  const std::string one = test::put_totals(folder.path() / "one", {40});
  CHECK_THAT(refusal(one, "total"), Contains("no result.json") && Contains("measure"));
  REQUIRE(analyse({"split", one, "--quiet"}).exit_code == 0);
  CHECK_THAT(refusal(one, "total"), Contains("one press gives no spread"));
  CHECK_THAT(refusal(one, "remainder"), Contains("knows nothing of the portion 'remainder'"));
  const std::string even = test::put_totals(folder.path() / "even", {40, 40, 40});
  REQUIRE(analyse({"split", even, "--quiet"}).exit_code == 0);
  // Sums of binary fractions leave 1e-14 of scatter, which result.json rounds away.
  CHECK_THAT(refusal(even, "total"), Contains("came out alike"));
  test::put(folder.path() / "other.json", "{\"format\":\"else\",\"version\":1}");
  CHECK_THAT(refusal((folder.path() / "other.json").string(), "total"), Contains("is no result"));
  test::put(folder.path() / "newer.json", "{\"format\":\"thumblight-result\",\"version\":2}");
  CHECK_THAT(refusal((folder.path() / "newer.json").string(), "total"), Contains("newer version"));
  CHECK_THAT(refusal("/nonexistent", "total"), Contains("cannot be read"));
}

TEST_CASE("plan: out of reach says what would bring it within reach") {
  const Answer lasting =
      analyse({"plan", "--camera-rate", "240", "--lasting-ms", "0.4", "--half-width-ms", "0.5"});
  CHECK(lasting.exit_code == 0);
  CHECK_THAT(lasting.out, Contains("Out of reach") && Contains("not more presses"));
  const json answer =
      plan({"--camera-rate", "240", "--lasting-ms", "0.4", "--half-width-ms", "0.5"});
  CHECK(answer["presses"].is_null());
  CHECK(answer["half_width_ms"].is_null());
  CHECK(answer["session_s"].is_null());
  CHECK(answer["least_half_width_ms"].get<double>() == Approx(0.4 * 1.959964).epsilon(1e-6));

  const Answer scatter = analyse({"plan", "--camera-rate", "240", "--half-width-ms", "0.001"});
  CHECK_THAT(scatter.out, Contains("more than a million presses"));
  const json spread = plan({"--camera-rate", "240", "--half-width-ms", "0.001"});
  // With 10000 presses t is 1.96: a spread of 0.001 * 100 / 1.96.
  CHECK(spread["bearable_sd_ms"].get<double>() == Approx(0.1 / 1.9602).epsilon(1e-3));
}

TEST_CASE("plan: what lasts in both set-ups joins in their difference as root sum of squares") {
  // JCGM 100:2008, 5.1.2; 1.959964 from table G.2's last line. The presses' own scatter is nothing.
  const json answer = plan({"--spread-ms", "0.001", "--lasting-ms", "1", "--presses", "1000"});
  CHECK(answer["half_width_ms"].get<double>() == Approx(1.959964).epsilon(1e-5));
  CHECK(answer["difference_ms"].get<double>() == Approx(std::sqrt(2.0) * 1.959964).epsilon(1e-3));
}

TEST_CASE("plan: a faster camera takes fewer presses, and the answer says how many") {
  const json answer = plan({"--camera-rate", "240", "--half-width-ms", "0.2"});
  const json faster = plan({"--camera-rate", "480", "--half-width-ms", "0.2"});
  CHECK(answer["within_reach_with"][0]["presses"] == faster["presses"]);
  CHECK(faster["presses"].get<int>() < answer["presses"].get<int>());
}

TEST_CASE("plan: the answer is a sentence, and it says why to press unevenly") {
  const Answer answer = analyse({"plan", "--camera-rate", "240", "--refresh", "60", "--polling-ms",
                                 "8", "--half-width-ms", "1"});
  CHECK(answer.exit_code == 0);
  CHECK(answer.err.empty());
  CHECK_THAT(answer.out, Contains("123 presses give the mean to ± 1 ms (95 %)."));
  CHECK_THAT(answer.out, Contains("8.3 ms") && Contains("uneven moments"));
  CHECK(test::widest(answer.out) <= 80);
  CHECK(analyse({"plan", "--spread-ms", "1", "--presses", "9", "--quiet"}).out.empty());
  CHECK_THAT(analyse({"plan", "--help"}).out, Contains("Examples:"));
}

TEST_CASE("plan: a narrow terminal has no longer lines than it shows") {
  report::PlanRequest request;
  request.sources = {.camera_hz = 239.76, .refresh_hz = 143.85, .poll_interval_ms = 0.125};
  request.sources.other_sd_ms = 1234.5;
  request.lasting_u_ms = 0.3;
  for (const auto question : {report::PlanQuestion::kHalfWidth, report::PlanQuestion::kDifference,
                              report::PlanQuestion::kPresses}) {
    request.question = question;
    request.presses = 1'000'000;
    for (const double wanted_ms : {0.001, 0.9, 50.0, 10'000.0}) {
      request.wanted_ms = wanted_ms;
      CHECK(test::widest(report::terminal_plan(report::make_plan(request), 60)) <= 60);
    }
  }
}

TEST_CASE("plan: wrong or contradictory options have the exit code 2 and name themselves") {
  const std::vector<std::pair<std::vector<std::string>, std::string>> wrong = {
      {{}, "why presses differ"},
      {{"--half-width-ms", "1"}, "why presses differ"},
      {{"--camera-rate", "240"}, "say what is wanted"},
      {{"--camera-rate", "240", "--presses", "9", "--half-width-ms", "1"}, "more than one plan"},
      {{"--pilot", "x", "--refresh", "60", "--presses", "9"}, "holds camera"},
      {{"--refresh", "60", "--portion", "total", "--presses", "9"}, "name one with --pilot"},
      {{"--refresh", "60", "--half-width-ms", "1", "--power", "0.8"}, "--power"},
      {{"--refresh", "0", "--presses", "9"}, "--refresh"},
      {{"--camera-rate", "nan", "--presses", "9"}, "--camera-rate"},
      {{"--camera-rate", "-240", "--presses", "9"}, "--camera-rate"},
      {{"--polling-ms", "inf", "--presses", "9"}, "--polling-ms"},
      {{"--spread-ms", "0", "--presses", "9"}, "--spread-ms"},
      {{"--lasting-ms", "-1", "--presses", "9"}, "--lasting-ms"},
      {{"--refresh", "60", "--presses", "1"}, "--presses"},
      {{"--refresh", "60", "--presses", "2.5"}, "--presses"},
      {{"--refresh", "60", "--presses", "99999999999999999999999"}, "--presses"},
      {{"--refresh", "60", "--half-width-ms", "0"}, "--half-width-ms"},
      {{"--refresh", "60", "--difference-ms", "-1"}, "--difference-ms"},
      {{"--refresh", "60", "--difference-ms", "1", "--power", "1"}, "--power"},
      {{"--pilot", "x", "--portion", "half", "--presses", "9"}, "--portion"},
      {{"--refresh", "60", "--presses", "9", "--unknown"}, "--unknown"},
  };
  for (const auto& [arguments, part] : wrong) {
    std::vector<std::string> all = {"plan"};
    all.insert(all.end(), arguments.begin(), arguments.end());
    const Answer answer = analyse(all);
    INFO(answer.err);
    CHECK(answer.exit_code == 2);
    CHECK(answer.out.empty());
    CHECK_THAT(answer.err, Contains(part));
  }
}

TEST_CASE("plan: a place that cannot be written is told of, and leaves nothing") {
  const Answer answer =
      analyse({"plan", "--refresh", "60", "--presses", "9", "--out", "/nonexistent/plan.json"});
  CHECK(answer.exit_code == 1);
  CHECK(answer.out.empty());
  CHECK_THAT(answer.err, Contains("cannot be written"));
}
