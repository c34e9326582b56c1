#include <catch2/catch.hpp>
#include <clocale>
#include <locale>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>
#include <string>

#include "analysis/onset/timings_reader.hpp"
#include "analysis/onset/timings_writer.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/result_json.hpp"
#include "analysis/report/terminal_table.hpp"
#include "tests/analysis/made_up_session.hpp"

using namespace thumblight;
using namespace thumblight::test;
using nlohmann::json;
using report::Rounding;
using timing::ClockLinkKind;
using timing::Portion;

namespace {

report::Result result_of(const MadeUpSession& made, ClockLinkKind kind) {
  return report::make_result(timing::split_presses(made.timings, &made.log, kind), made.timings,
                             &made.log);
}

MadeUpSession session_of(std::size_t count, std::optional<double> u_s = 0.0012) {
  Dice dice(21);
  return make_session(uneven_presses(count, dice), {}, u_s);
}

json encoded(const report::Result& result) {
  return json::parse(report::encode_result_json(result));
}

/// The line of the table that begins with `name`.
std::string line_of(const std::string& table, const std::string& name) {
  std::istringstream lines(table);
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind(name + ' ', 0) == 0) {
      return line;
    }
  }
  return "";
}

/// The most decimals of any number in the line.
int most_decimals(const std::string& line) {
  int most = 0;
  const std::regex number(R"(\.([0-9]+))");
  for (std::sregex_iterator it(line.begin(), line.end(), number), end; it != end; ++it) {
    most = std::max(most, static_cast<int>((*it)[1].length()));
  }
  return most;
}

/// Digits grouped and marked as in much of Europe.
class CommaPoint : public std::numpunct<char> {
 protected:
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

/// Sets the global C++ locale, and the C one where the system has it, for one scope.
class ForeignLocale {
 public:
  ForeignLocale() : before_(std::locale::global(std::locale(std::locale(), new CommaPoint))) {
    std::setlocale(LC_ALL, "de_DE.UTF-8");
  }
  ~ForeignLocale() {
    std::locale::global(before_);
    std::setlocale(LC_ALL, "C");
  }
  ForeignLocale(const ForeignLocale&) = delete;
  ForeignLocale& operator=(const ForeignLocale&) = delete;

 private:
  std::locale before_;
};

}  // namespace

TEST_CASE("result.json has every key, in the order that is documented") {
  using nlohmann::ordered_json;
  const auto result = ordered_json::parse(
      report::encode_result_json(result_of(session_of(12), ClockLinkKind::kShared)));
  const auto keys = [](const ordered_json& object) {
    std::vector<std::string> found;
    for (const auto& [key, value] : object.items()) {
      found.push_back(key);
    }
    return found;
  };
  using Keys = std::vector<std::string>;
  CHECK(keys(result) == Keys{"format", "version", "presses", "summary", "clock_link", "flip",
                             "pairing", "recording", "labels", "pacing", "warnings"});
  CHECK(keys(result["presses"][0]) == Keys{"index", "recorded", "logged", "total_ms", "delivery_ms",
                                           "render_ms", "screen_ms", "display_ms", "remainder_ms",
                                           "total_u_ms", "flags"});
  CHECK(keys(result["summary"]) ==
        Keys{"total_ms", "delivery_ms", "render_ms", "screen_ms", "display_ms", "remainder_ms"});
  CHECK(keys(result["summary"]["total_ms"]) ==
        Keys{"n", "mean", "median", "sd", "min", "max", "p05", "p95", "ci95"});
  CHECK(keys(result["clock_link"]) == Keys{"kind", "feasible", "drift"});
  CHECK(result["format"] == "thumblight-result");
  CHECK(result["version"] == 1);
  CHECK(result["presses"].size() == 12);
  CHECK(result["flip"]["how"] == "submit");
  CHECK(result["pairing"]["paired"] == 12);
}

TEST_CASE("what is unknown is null, and bounds have no mean") {
  const json result = encoded(result_of(session_of(12), ClockLinkKind::kCausality));
  for (const char* key : {"delivery_ms", "screen_ms", "display_ms"}) {
    INFO(key);
    const json& portion = result.at("summary").at(key);
    REQUIRE(portion.at("bounds").size() == 2);
    CHECK(portion.size() == 1);
    CHECK(portion.at("bounds").at(0) <= portion.at("bounds").at(1));
    for (const json& press : result.at("presses")) {
      CHECK(press.at(key).is_null());
    }
  }
  CHECK(result.at("summary").at("render_ms").at("n") == 12);
  CHECK(result.at("clock_link").at("feasible") == true);
  CHECK(result.at("pacing").is_null());
  CHECK(result.at("recording").at("clock").at("rate_hz").is_null());
}

TEST_CASE("a portion without any value is null") {
  const MadeUpSession made = session_of(5, std::nullopt);
  const auto split = timing::split_presses(made.timings, nullptr, ClockLinkKind::kNone);
  const report::Result result = report::make_result(split, made.timings, nullptr);
  const json object = encoded(result);
  for (const char* key : {"delivery_ms", "render_ms", "screen_ms", "display_ms", "remainder_ms"}) {
    CHECK(object.at("summary").at(key).is_null());
    CHECK(object.at("presses").at(0).at(key).is_null());
  }
  CHECK(object.at("presses").at(0).at("logged").is_null());
  CHECK(object.at("presses").at(0).at("total_u_ms").is_null());
  CHECK(object.at("flip").at("how").is_null());
  CHECK(object.at("clock_link").at("drift").is_null());
  const std::string table = report::terminal_table(result);
  CHECK_THAT(line_of(table, "screen"), Catch::Contains("not known"));
  CHECK(table.find("nan") == std::string::npos);
}

TEST_CASE("one press: sd and interval are null, and a dash in the table") {
  const report::Result result = result_of(session_of(1), ClockLinkKind::kShared);
  const json total = encoded(result).at("summary").at("total_ms");
  CHECK(total.at("n") == 1);
  CHECK(total.at("sd").is_null());
  CHECK(total.at("ci95").is_null());
  CHECK_THAT(line_of(report::terminal_table(result), "total"), Catch::Contains(" - "));
}

TEST_CASE("no digit of the table is finer than its uncertainty carries") {
  // Two significant digits of the uncertainty, as JCGM 100:2008, 7.2.6 advises (from memory).
  const MadeUpSession made = session_of(30, 0.0012);
  const report::Result result = result_of(made, ClockLinkKind::kShared);
  const std::string table = report::terminal_table(result);
  for (const Portion portion : timing::kPortions) {
    INFO(name(portion));
    const auto& summary = *result.portions[portion].summary;
    const double half_ms = (summary.ci95->high - summary.ci95->low) / 2;
    const double last_digit_ms = std::pow(10.0, -most_decimals(line_of(table, name(portion))));
    CHECK(last_digit_ms >= half_ms / 100);
  }
}

TEST_CASE("instants that share one error are not printed finer than it") {
  // All totals alike to the microsecond, while each instant is uncertain by 10 ms.
  std::vector<MadeUpPress> presses(10);
  for (std::size_t k = 0; k < presses.size(); ++k) {
    presses[k].press_s = 1.0 + static_cast<double>(k * k) / 7;
  }
  const std::string table =
      report::terminal_table(result_of(make_session(presses, {}, 0.010), ClockLinkKind::kShared));
  CHECK(most_decimals(line_of(table, "total")) == 0);
  CHECK(most_decimals(line_of(table, "screen")) == 0);
}

TEST_CASE("bounds are rounded outwards and stay no means in the table") {
  const report::Result result = result_of(session_of(12), ClockLinkKind::kCausality);
  const std::string line = line_of(report::terminal_table(result), "delivery");
  std::smatch shown;
  REQUIRE(std::regex_search(line, shown, std::regex("mean within ([-0-9.]+) to ([-0-9.]+)")));
  const timing::Bounds& bounds = *result.portions[Portion::kDelivery].mean_bounds;
  CHECK(std::stod(shown[1]) <= bounds.low_ms + 1e-6);
  CHECK(std::stod(shown[2]) >= bounds.high_ms - 1e-6);
}

TEST_CASE("decimals follow two significant digits of the uncertainty") {
  CHECK(report::decimals_for(12.3) == 0);
  CHECK(report::decimals_for(123) == -1);
  CHECK(report::decimals_for(1.23) == 1);
  CHECK(report::decimals_for(0.123) == 2);
  CHECK(report::decimals_for(0.0123) == 3);
  CHECK(report::decimals_for(1e-9) == 3);
  CHECK(report::decimals_for(0) == 3);
  CHECK(report::decimals_for(1e300) == -9);
}

TEST_CASE("numbers have a point, no exponent and no negative zero") {
  CHECK(report::fixed(1234567.25, 1) == "1234567.3");
  CHECK(report::fixed(-0.04, 1) == "0.0");
  CHECK(report::fixed(1e15, 0) == "1000000000000000");
  CHECK(report::fixed(1234, -2) == "1200");
  CHECK(report::fixed(2.31, 1, Rounding::kDown) == "2.3");
  CHECK(report::fixed(2.31, 1, Rounding::kUp) == "2.4");
  CHECK(report::fixed(-2.31, 1, Rounding::kDown) == "-2.4");
  CHECK(report::fixed(0.3, 1, Rounding::kUp) == "0.3");
}

TEST_CASE("control characters in labels and warnings do not reach the terminal") {
  MadeUpSession made = session_of(3);
  made.log.header.labels["device"] = "a\x1b[31mb";
  made.timings.warnings.push_back({"x\x07", "text\x1b]0;title", "remedy\n"});
  const report::Result result = result_of(made, ClockLinkKind::kShared);
  const std::string shown =
      report::terminal_table(result) + report::terminal_warnings(result.split.warnings);
  CHECK(shown.find('\x1b') == std::string::npos);
  CHECK(shown.find('\x07') == std::string::npos);
  CHECK_NOTHROW(encoded(result));
}

TEST_CASE("no line of the table is wider than 80 columns") {
  for (const std::size_t count : {std::size_t{1}, std::size_t{5000}}) {
    for (const ClockLinkKind kind : {ClockLinkKind::kShared, ClockLinkKind::kCausality}) {
      std::istringstream lines(report::terminal_table(result_of(session_of(count), kind)));
      for (std::string line; std::getline(lines, line);) {
        INFO(line);
        CHECK(line.size() <= 80);
      }
    }
  }
}

TEST_CASE("a locale with decimal commas and grouped digits changes nothing") {
  const auto everything = [] {
    const auto timings =
        onset::read_timings(std::string_view("press_s,light_s\n1234.5,1234.75\n"), "marks");
    const report::Result result = result_of(session_of(1200), ClockLinkKind::kCausality);
    return onset::encode_timings_json(timings) + onset::encode_timings_table(timings) +
           report::encode_result_json(result) + report::terminal_table(result) +
           report::terminal_warnings(result.split.warnings);
  };
  const std::string plain = everything();
  const ForeignLocale foreign;
  std::ostringstream check;
  check << 1234.5;
  REQUIRE(check.str() == "1.234,5");
  CHECK(everything() == plain);
}
