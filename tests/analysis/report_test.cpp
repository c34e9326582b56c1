#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <sstream>

#include "analysis/report/numbers.hpp"
#include "analysis/report/result_json.hpp"
#include "analysis/report/terminal_table.hpp"
#include "tests/analysis/simulated_session.hpp"

using namespace thumblight;
using namespace thumblight::report;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::Bench;
using test::SimulatedSession;
using timing::ClockLinkKind;
using timing::Portion;

namespace {

Result result_of(const SimulatedSession& session, ClockLinkKind kind) {
  const session::Log* log = kind == ClockLinkKind::kNone ? nullptr : &session.log;
  return make_result(timing::split_presses(session.timings, log, kind), session.timings, log);
}

Result simulated(const Bench& bench, ClockLinkKind kind) {
  std::mt19937 random(99);
  return result_of(test::observe(bench, test::simulate(bench, random)), kind);
}

Bench on_one_clock() {
  Bench bench;
  bench.offset_s = 0;
  bench.host_base_ns = 0;
  return bench;
}

std::string line_of(const std::string& text, const std::string& first_word) {
  std::istringstream lines(text);
  std::string line;
  while (std::getline(lines, line)) {
    if (line.rfind(first_word, 0) == 0) {
      return line;
    }
  }
  return "";
}

/// A session of totals alone, each press and light with the uncertainty given.
Result totals(const std::vector<double>& totals_ms, std::optional<double> u_s) {
  SimulatedSession session;
  for (std::size_t k = 0; k < totals_ms.size(); ++k) {
    onset::PressTiming press;
    press.index = static_cast<std::int64_t>(k);
    const auto t_s = static_cast<double>(k);
    press.press = onset::Instant{t_s, u_s, "mark", {}, {}, {}};
    press.light = onset::Instant{t_s + totals_ms[k] * 1e-3, u_s, "mark", {}, {}, {}};
    session.timings.presses.push_back(press);
  }
  return result_of(session, ClockLinkKind::kNone);
}

}  // namespace

// JCGM 100:2008, 7.2.6: an uncertainty to two significant digits, the value to the same place.
TEST_CASE("decimals follow the uncertainty, to a microsecond at the finest") {
  CHECK(decimals_for(27) == 0);
  CHECK(decimals_for(2.7) == 1);
  CHECK(decimals_for(0.27) == 2);
  CHECK(decimals_for(0.027) == 3);
  CHECK(decimals_for(0.0027) == 3);
  CHECK(decimals_for(270) == -1);
  CHECK(decimals_for(0) == 3);
}

TEST_CASE("fixed digits") {
  CHECK(fixed(12.345, 1) == "12.3");
  CHECK(fixed(-0.04, 1) == "0.0");
  CHECK(fixed(1234, -2) == "1200");
  CHECK(fixed(1e15, 3) == "1000000000000000.000");
  CHECK(fixed(4.11, 1, Rounding::kUp) == "4.2");
  CHECK(fixed(4.19, 1, Rounding::kDown) == "4.1");
  CHECK(fixed(4.2, 1, Rounding::kUp) == "4.2");
  CHECK(fixed(-4.11, 1, Rounding::kDown) == "-4.2");
  CHECK(printable("a\x1b[31mb\n\x7fü") == "a?[31mb??ü");
}

TEST_CASE("result.json bears every press, summary and link, and unknown is null") {
  const json result =
      json::parse(encode_result_json(simulated(on_one_clock(), ClockLinkKind::kShared)));
  CHECK(result["format"] == "thumblight-result");
  CHECK(result["version"] == 1);
  REQUIRE(result["presses"].size() == 40);
  for (const json& press : result["presses"]) {
    const double sum_ms = press["delivery_ms"].get<double>() + press["render_ms"].get<double>() +
                          press["screen_ms"].get<double>();
    CHECK(std::abs(press["total_ms"].get<double>() - sum_ms) < 1e-3);
  }
  for (const char* key :
       {"total_ms", "delivery_ms", "render_ms", "screen_ms", "display_ms", "remainder_ms"}) {
    const json& summary = result["summary"][key];
    INFO(key);
    CHECK(summary["n"] == 40);
    CHECK(summary["ci95"][0].get<double>() < summary["mean"].get<double>());
    CHECK(summary["min"].get<double>() <= summary["p05"].get<double>());
    CHECK(summary["p95"].get<double>() <= summary["max"].get<double>());
    CHECK_FALSE(summary.contains("bounds"));
  }
  CHECK(result["clock_link"]["kind"] == "shared");
  CHECK(result["flip"]["how"] == "submit");
  CHECK(result["labels"]["controller"] == "heron");
  CHECK(result["pacing"] == "on-press");
  CHECK(result["warnings"].empty());
}

TEST_CASE("under causality bounds stand where a mean is not known") {
  const Result result = simulated({}, ClockLinkKind::kCausality);
  const json encoded = json::parse(encode_result_json(result));
  for (const char* key : {"delivery_ms", "screen_ms", "display_ms"}) {
    CHECK(encoded["summary"][key]["bounds"].size() == 2);
    CHECK_FALSE(encoded["summary"][key].contains("mean"));
    CHECK(encoded["presses"][0][key].is_null());
  }
  CHECK(encoded["summary"]["remainder_ms"]["n"] == 40);
  CHECK(encoded["clock_link"]["feasible"] == true);
  CHECK(encoded["clock_link"]["drift"]["n"] == 40);
  const std::string table = terminal_table(result);
  CHECK_THAT(line_of(table, "delivery"), Contains("mean within "));
  // Bounds are rounded outwards, so that they stay bounds.
  std::istringstream row(line_of(table, "delivery").substr(30));
  double low_ms = 0;
  double high_ms = 0;
  std::string to;
  REQUIRE(row >> low_ms >> to >> high_ms);
  CHECK(low_ms <= encoded["summary"]["delivery_ms"]["bounds"][0].get<double>());
  CHECK(high_ms >= encoded["summary"]["delivery_ms"]["bounds"][1].get<double>());
  CHECK_THAT(table, Contains("drift of the clocks, from 40 lights"));
}

TEST_CASE("one press has neither SD nor interval, here null and there a dash") {
  const Result result = totals({43.21}, 0.0005);
  const json total = json::parse(encode_result_json(result))["summary"]["total_ms"];
  CHECK(total["n"] == 1);
  CHECK(total["sd"].is_null());
  CHECK(total["ci95"].is_null());
  CHECK_THAT(line_of(terminal_table(result), "total"), Contains("43.21") && Contains("-"));
  CHECK_THAT(line_of(terminal_table(totals({43.21}, {})), "total"), Contains(" 43.2 "));
}

TEST_CASE("digits are those that the interval carries, or the frames where they show no spread") {
  // SD 2.5166 of three: half-width 6.25.
  CHECK_THAT(line_of(terminal_table(totals({43, 41, 46}, {})), "total"),
             Contains(" 43.3 ") && Contains("37.1 to 49.6"));
  // Three totals on one frame at 240 images a second: their spread of 0 is not an uncertainty of 0.
  const double frame_ms = 1e3 / 240;
  const std::vector<double> equal(3, 5 * frame_ms);
  CHECK_THAT(line_of(terminal_table(totals(equal, frame_ms * 1e-3 / std::sqrt(12.0))), "total"),
             Contains(" 20.8 ") && !Contains("20.83"));
}

TEST_CASE("the table fits 80 columns and names what is not known") {
  for (const ClockLinkKind kind :
       {ClockLinkKind::kNone, ClockLinkKind::kCausality, ClockLinkKind::kShared}) {
    Result result = simulated(on_one_clock(), kind);
    result.labels["note"] = "a label that goes on for longer than any line of a terminal will hold";
    result.labels["steering"] = "\x1b[2J";
    const std::string table = terminal_table(result);
    std::istringstream lines(table);
    std::string line;
    while (std::getline(lines, line)) {
      INFO(line);
      CHECK(line.size() <= 80);
    }
    CHECK_THAT(table, !Contains("\x1b"));
    CHECK_THAT(table, !Contains("nan") && !Contains("inf"));
  }
  const std::string alone = terminal_table(totals({43, 41}, {}));
  CHECK_THAT(alone, Contains("total") && Contains("no log of the harness"));
  CHECK_THAT(alone, !Contains("not known") && !Contains("delivery"));
}

TEST_CASE("warnings come with what to try") {
  CHECK(terminal_warnings({}).empty());
  CHECK(terminal_warnings({{"dim", "the patch is dim", "turn it up"}}) ==
        "warning: the patch is dim [dim]\n  to try: turn it up\n");
}

TEST_CASE("text that is not UTF-8 cannot break result.json") {
  Result result = totals({43}, {});
  result.labels["bad"] = "\xff\xfe";
  CHECK(json::parse(encode_result_json(result))["labels"]["bad"].is_string());
}
