#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <numeric>
#include <set>

#include "analysis/report/chart/axis.hpp"
#include "analysis/report/chart/chart.hpp"
#include "analysis/report/chart/chart_text.hpp"
#include "analysis/report/chart/marks.hpp"
#include "analysis/report/chart/png.hpp"
#include "harness/session/error.hpp"
#include "tests/analysis/svg_marks.hpp"
#include "tests/analysis/verb_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;
using nlohmann::json;
using report::chart::ChartKind;
using test::analyse;
using test::Answer;
using test::Mark;
using test::marks_of;
using test::of_kind;
namespace fs = std::filesystem;

namespace {

/// Draws one chart by a verb and gives it with the verb's JSON.
struct Drawn {
  json result;
  std::string svg;
  std::vector<Mark> marks;

  std::vector<Mark> of(const std::string& kind) const { return of_kind(marks, kind); }
  /// What the result's JSON says of a portion.
  const json& said(const std::string& portion) const { return result["summary"][portion + "_ms"]; }
  /// The chart's title, which takes a line or two of the picture.
  std::string finding() const {
    const auto title = std::find_if(marks.begin(), marks.end(),
                                    [](const Mark& mark) { return mark.element == "title"; });
    REQUIRE(title != marks.end());
    return title->text;
  }
  /// The one element of the kind.
  Mark the(const std::string& kind) const {
    const std::vector<Mark> found = of(kind);
    REQUIRE(found.size() == 1);
    return found.front();
  }
};

Drawn draw(std::vector<std::string> arguments, const std::string& kind) {
  const test::TemporaryFolder folder;
  const std::string file = (folder.path() / "chart.svg").string();
  arguments.insert(arguments.end(), {"--out", "-", "--chart", file, "--chart-kind", kind});
  const Answer answer = analyse(arguments);
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  Drawn drawn{answer.json(), test::get(file), {}};
  drawn.marks = marks_of(drawn.svg);
  return drawn;
}

/// The recording runs on the host's clock, so that every portion can be known.
test::SimulatedSession with_one_clock(double delivery_ms, unsigned seed) {
  test::Bench bench;
  bench.presses = 30;
  bench.delivery_ms = delivery_ms;
  bench.offset_s = 0;
  bench.host_base_ns = 0;
  return test::simulated(bench, seed);
}

void check_range(const Mark& mark, double from_ms, double to_ms) {
  // Milliseconds are written to the microsecond.
  CHECK(mark.number("data-from-ms") == Approx(from_ms).margin(0.00051));
  CHECK(mark.number("data-to-ms") == Approx(to_ms).margin(0.00051));
}

/// Where the axis says that a time lies, from its first and last tick.
double x_of(const Drawn& drawn, double ms) {
  const std::vector<Mark> ticks = drawn.of("tick");
  const double low = std::stod(ticks.front().text);
  const double high = std::stod(ticks.back().text);
  const double from = ticks.front().number("x");
  return from + (ms - low) / (high - low) * (ticks.back().number("x") - from);
}

/// Whether every text lies within the page and is large enough; what it holds is one line.
void check_texts(const std::vector<Mark>& marks) {
  for (const Mark& mark : marks) {
    if (mark.element != "text") {
      continue;
    }
    CAPTURE(mark.text, mark.kind());
    CHECK(mark.number("font-size") >= 28);
    const bool bold =
        mark.attributes.count("font-weight") > 0 && mark.attributes.at("font-weight") == "bold";
    const double width = report::chart::text_width(mark.text, mark.number("font-size"), bold);
    const auto anchor = mark.attributes.find("text-anchor");
    const double share = anchor == mark.attributes.end() ? 0 : anchor->second == "end" ? 1 : 0.5;
    CHECK(mark.number("x") - share * width >= 0);
    CHECK(mark.number("x") + (1 - share) * width <= 1920);
    CHECK(mark.number("y") <= 1080);
    CHECK(std::none_of(mark.text.begin(), mark.text.end(),
                       [](unsigned char c) { return c < 0x20 || c == 0x7F; }));
  }
}

report::ComparedSession session_of(const std::string& name, double delivery_ms, unsigned seed) {
  const test::SimulatedSession simulated = with_one_clock(delivery_ms, seed);
  report::ComparedSession session;
  session.path = name;
  session.result = report::make_result(
      timing::split_presses(simulated.timings, &simulated.log, timing::ClockLinkKind::kShared),
      simulated.timings, &simulated.log);
  session.result.labels = {{"controller", name}};
  session.header = simulated.log.header;
  return session;
}

const std::vector<std::string> kHostileNames = {
    "<script>alert(1)</script>",
    "=HYPERLINK(\"http://example\",\"x\")",
    "'\"><svg onload='x'>&amp;&#0;]]>",
    "one\ntwo\r\nthree\tfour",
    "\u05E9\u05DC\u05D5\u05DD \u202E\u0645\u0631\u062D\u0628\u0627",
    "\U0001F3AE\U0001F579\uFE0F \U00020BB7",
    std::string("bell\a esc\x1b[31m nul\0 del\x7f", 21) + "\u0085\u2028\uFFFE",
    "cut \xE2\x82 short \xFF\xC0\xAF \xED\xA0\x80 \xF4\x90\x80\x80",
    std::string(200, 'W'),
    "Z\u0340\u0341\u0342\u0343\u0344\u0345\u0346\u0347\u0348\u0349algo",
    "",
    "   "};

}  // namespace

TEST_CASE("chart: bars of one session hold the result's means and intervals") {
  const test::TemporaryFolder folder;
  const std::string session = test::put_session(folder.path() / "a", with_one_clock(4, 1));
  const Drawn drawn = draw({"split", session, "--clock-link", "shared"}, "bars");
  for (const char* portion : {"total", "delivery", "render", "screen"}) {
    CAPTURE(portion);
    const json& expected = drawn.said(portion);
    const Mark bar = drawn.the(portion);
    check_range(bar, 0, expected["mean"].get<double>());
    CHECK(bar.number("x") == Approx(x_of(drawn, 0)).margin(0.02));
    CHECK(bar.number("width") ==
          Approx(x_of(drawn, expected["mean"].get<double>()) - x_of(drawn, 0)).margin(0.1));
  }
  CHECK(drawn.of("interval").size() == 4);
  check_range(drawn.of("interval").front(), drawn.said("total")["ci95"][0].get<double>(),
              drawn.said("total")["ci95"][1].get<double>());
  CHECK(drawn.of("bounds").empty());
  check_texts(drawn.marks);
}

TEST_CASE("chart: what is but bounded is drawn as bounds") {
  const test::TemporaryFolder folder;
  test::Bench bench;
  bench.presses = 30;
  const std::string session = test::put_session(folder.path() / "a", test::simulated(bench, 3));
  const Drawn drawn = draw({"split", session}, "bars");
  const std::vector<Mark> bounds = drawn.of("bounds");
  REQUIRE(bounds.size() == 2);
  const char* const portions[] = {"delivery", "screen"};
  for (std::size_t k = 0; k < 2; ++k) {
    const json& expected = drawn.said(portions[k]);
    CAPTURE(portions[k], expected.dump());
    REQUIRE_FALSE(expected.contains("mean"));
    check_range(bounds[k], expected["bounds"][0].get<double>(),
                expected["bounds"][1].get<double>());
    CHECK_THAT(bounds[k].attributes.at("fill"), StartsWith("url(#within-"));
    // What is certain of it ends where the bounds begin.
    for (const Mark& certain : drawn.of(portions[k])) {
      check_range(certain, 0, expected["bounds"][0].get<double>());
    }
  }
  CHECK(drawn.of("remainder").size() == 1);
  // A bound has no interval: those are of total, render and remainder.
  CHECK(drawn.of("interval").size() == 3);
}

TEST_CASE("chart: without a log the total alone") {
  const test::TemporaryFolder folder;
  const std::string session = test::put_totals(folder.path() / "tv", {60, 71, 65, 68, 62, 66});
  for (const char* kind : {"bars", "presses", "distribution"}) {
    CAPTURE(kind);
    const Drawn drawn = draw({"split", session}, kind);
    const std::vector<Mark> names = drawn.of("name");
    REQUIRE(names.size() == 1);
    CHECK(names.front().text == "total");
    for (const char* part : {"delivery", "render", "screen", "either", "bounds", "remainder"}) {
      CHECK(drawn.of(part).empty());
    }
    check_texts(drawn.marks);
  }
}

TEST_CASE("chart: one press has no interval") {
  const test::TemporaryFolder folder;
  const std::string session = test::put_totals(folder.path() / "one", {37.2});
  for (const char* kind : {"bars", "presses", "distribution"}) {
    CAPTURE(kind);
    const Drawn drawn = draw({"split", session}, kind);
    CHECK_THAT(drawn.finding(), Contains("One press") && Contains("37.2"));
    CHECK(drawn.of("interval").empty());
    CHECK_FALSE(report::chart::png_of(drawn.svg).empty());
  }
}

TEST_CASE("chart: every press is a dot at its time, outliers among them") {
  const test::TemporaryFolder folder;
  std::vector<double> totals_ms;
  totals_ms.reserve(400);
  for (int k = 0; k < 400; ++k) {
    totals_ms.push_back(40 + k % 7 + (k == 123 ? 90 : 0));
  }
  const Drawn drawn = draw({"split", test::put_totals(folder.path() / "s", totals_ms)}, "presses");
  const std::vector<Mark> outliers = drawn.of("press outlier");
  REQUIRE(outliers.size() == 1);
  CHECK(outliers.front().number("data-ms") == Approx(130 + 123 % 7).margin(0.001));
  CHECK(drawn.of("press").size() + outliers.size() == totals_ms.size());
  double last_y = 0;
  for (const Mark& dot : drawn.of("press")) {
    REQUIRE(dot.number("cx") == Approx(x_of(drawn, dot.number("data-ms"))).margin(0.1));
    REQUIRE(dot.number("cy") >= last_y);
    last_y = dot.number("cy");
  }
  CHECK(drawn.the("mean").number("data-ms") ==
        Approx(drawn.said("total")["mean"].get<double>()).margin(0.001));
}

TEST_CASE("chart: a distribution counts every press once, and thousands of them") {
  const test::TemporaryFolder folder;
  test::Bench bench;
  bench.presses = 3000;
  bench.least_gap_s = 0.5;
  bench.offset_s = 0;
  bench.host_base_ns = 0;
  const std::string session = test::put_session(folder.path() / "s", test::simulated(bench, 4));
  const Drawn drawn = draw({"split", session, "--clock-link", "shared"}, "distribution");
  std::size_t counted = 0;
  for (const Mark& bin : drawn.of("bin")) {
    CHECK(bin.number("data-to-ms") > bin.number("data-from-ms"));
    counted += static_cast<std::size_t>(bin.number("data-presses"));
  }
  std::size_t expected = 0;
  for (const char* portion : {"total", "delivery", "render", "screen"}) {
    expected += drawn.said(portion)["n"].get<std::size_t>();
  }
  CHECK(counted == expected);
  const std::vector<Mark> medians = drawn.of("median");
  REQUIRE(medians.size() == 4);
  CHECK(medians.front().number("data-ms") ==
        Approx(drawn.said("total")["median"].get<double>()).margin(0.001));
}

TEST_CASE("chart: the pieces of a bar add up to its total") {
  const test::TemporaryFolder folder;
  test::Bench bench;
  bench.presses = 30;
  const std::vector<std::string> sessions = {
      test::put_session(folder.path() / "split", with_one_clock(4, 1)),
      test::put_session(folder.path() / "bounded", test::simulated(bench, 2)),
      test::put_totals(folder.path() / "alone", {80, 81, 82, 83})};
  REQUIRE(analyse({"--quiet", "split", sessions[0], "--clock-link", "shared"}).exit_code == 0);
  const Drawn drawn = draw({"compare", sessions[0], sessions[1], sessions[2]}, "bars");
  double reached = 0;
  std::vector<double> ends;
  for (const Mark& mark : drawn.marks) {
    if (mark.element != "rect" || mark.attributes.count("data-from-ms") == 0) {
      continue;
    }
    if (mark.number("data-from-ms") == 0) {
      ends.push_back(reached);
    }
    CHECK((mark.number("data-from-ms") == 0 ||
           mark.number("data-from-ms") == Approx(reached).margin(0.0011)));
    reached = mark.number("data-to-ms");
  }
  ends.push_back(reached);
  ends.erase(ends.begin());
  // Each a session's mean total, the soonest first.
  std::vector<double> totals;
  for (const std::string& session : sessions) {
    const Answer answer = analyse({"split", session, "--out", "-"});
    totals.push_back(answer.json()["summary"]["total_ms"]["mean"].get<double>());
  }
  std::sort(totals.begin(), totals.end());
  REQUIRE(ends.size() == totals.size());
  for (std::size_t k = 0; k < ends.size(); ++k) {
    CHECK(ends[k] == Approx(totals[k]).margin(0.01));
  }
  CHECK(drawn.of("either").size() == 1);
  CHECK(drawn.of("total").size() == 1);
  CHECK_THAT(drawn.finding(), Contains("soonest"));
  check_texts(drawn.marks);
}

TEST_CASE("chart: hostile names do no harm") {
  std::vector<report::ComparedSession> sessions;
  for (std::size_t k = 0; k < kHostileNames.size(); ++k) {
    sessions.push_back(session_of(kHostileNames[k], static_cast<double>(k), 5));
  }
  report::ComparisonResult comparison = report::compare_sessions(std::move(sessions));
  for (std::size_t k = 0; k < kHostileNames.size(); ++k) {
    comparison.sessions[k].name = kHostileNames[k];
  }
  for (const ChartKind kind : {ChartKind::kBars, ChartKind::kPresses, ChartKind::kDistribution}) {
    const std::string svg = report::chart::comparison_chart(comparison, kind);
    const std::vector<Mark> marks = marks_of(svg);
    const std::set<std::string> allowed = {"svg",  "title", "desc", "defs",   "pattern",
                                           "rect", "line",  "path", "circle", "text"};
    for (const Mark& mark : marks) {
      CAPTURE(mark.element);
      CHECK(allowed.count(mark.element) == 1);
      CHECK(mark.attributes.count("onload") == 0);
    }
    check_texts(marks);
    std::vector<std::string> names;
    for (const Mark& mark : of_kind(marks, "name")) {
      names.push_back(mark.text);
    }
    CHECK(std::count(names.begin(), names.end(), "<script>alert(1)</script>") == 1);
    CHECK(std::count(names.begin(), names.end(), "one two three four") == 1);
    // libxml2 behind librsvg refuses what is no UTF-8 or no XML.
    CHECK_THAT(report::chart::png_of(svg), StartsWith("\x89PNG"));
  }
  report::ComparedSession one = session_of("x", 4, 1);
  for (const std::string& name : kHostileNames) {
    one.result.labels = {{name, name}, {"a", name}, {"b", name}};
    const std::string svg = report::chart::session_chart(one.result, ChartKind::kBars);
    check_texts(marks_of(svg));
    CHECK_THAT(report::chart::png_of(svg), StartsWith("\x89PNG"));
  }
}

TEST_CASE("chart: no more set-ups than a picture holds") {
  std::vector<report::ComparedSession> sessions;
  for (unsigned k = 0; k < 14; ++k) {
    sessions.push_back(session_of("pad " + std::to_string(k), 40.0 - k, k));
  }
  const report::ComparisonResult comparison = report::compare_sessions(std::move(sessions));
  const std::vector<Mark> marks =
      marks_of(report::chart::comparison_chart(comparison, ChartKind::kBars));
  CHECK(of_kind(marks, "name").size() == 12);
  REQUIRE(of_kind(marks, "note").size() == 1);
  CHECK_THAT(of_kind(marks, "note").front().text, Contains("12 soonest of 14"));
  CHECK(of_kind(marks, "name").front().text == "pad 13");
  check_texts(marks);
}

TEST_CASE("chart: the finding says no more than the verdict") {
  const auto finding = [](double delivery_a_ms, double delivery_b_ms) {
    std::vector<report::ComparedSession> sessions = {session_of("Wren", delivery_a_ms, 1),
                                                     session_of("Osier", delivery_b_ms, 2)};
    return report::chart::finding(report::compare_sessions(std::move(sessions)));
  };
  CHECK_THAT(finding(4, 34), StartsWith("Wren answers ") && Contains("sooner than Osier"));
  CHECK_THAT(finding(34, 4), StartsWith("Osier answers ") && Contains("sooner than Wren"));
  CHECK_THAT(finding(4, 4), StartsWith("Not told apart: "));
}

TEST_CASE("chart: options that do not serve are refused before the work") {
  const test::TemporaryFolder folder;
  const std::string session = test::put_totals(folder.path() / "s", {60, 61, 62});
  const std::string file = (folder.path() / "a.svg").string();
  const auto refused = [&](std::vector<std::string> options, int exit_code,
                           const std::string& reason) {
    options.insert(options.begin(), {"split", session});
    const Answer answer = analyse(options);
    CHECK(answer.exit_code == exit_code);
    CHECK_THAT(answer.err, Contains(reason));
    CHECK(std::count(answer.err.begin(), answer.err.end(), '\n') == 1);
    CHECK_FALSE(fs::exists(folder.path() / "s" / "result.json"));
  };
  refused({"--chart", "bars.jpg"}, 2, ".svg or .png");
  refused({"--chart", "-"}, 2, ".svg or .png");
  refused({"--chart", file, "--chart", file}, 2, "named twice");
  refused({"--chart-kind", "bars"}, 2, "--chart FILE");
  refused({"--chart", file, "--chart-kind", "bars", "--chart-kind", "presses"}, 2, "2 times");
  refused({"--chart", (folder.path() / "no/such/a.svg").string()}, 1, "cannot be written");
  CHECK(analyse({"split", session, "--chart", file, "--chart-kind", "pie"}).exit_code == 2);
}

TEST_CASE("chart: nothing to draw is said, and the result kept") {
  const test::TemporaryFolder folder;
  const std::string session = test::put_totals(folder.path() / "s", {});
  test::put(fs::path(session) / "timings.csv", "press_s,light_s\n1,\n2,\n");
  const std::string file = (folder.path() / "a.svg").string();
  const Answer answer = analyse({"split", session, "--chart", file});
  CHECK(answer.exit_code == 1);
  CHECK_THAT(answer.err, Contains("nothing to draw"));
  CHECK(fs::exists(fs::path(session) / "result.json"));
  CHECK_FALSE(fs::exists(file));
}

TEST_CASE("chart: PNG files have a video frame's size") {
  const test::TemporaryFolder folder;
  const std::string session = test::put_totals(folder.path() / "s", {60, 61, 62});
  const std::string file = (folder.path() / "A.PNG").string();
  REQUIRE(analyse({"split", session, "--chart", file}).exit_code == 0);
  const std::string png = test::get(file);
  // PNG (ISO/IEC 15948, 5.2 and 11.2.2): signature, then IHDR with width and height, big-endian.
  REQUIRE(png.substr(0, 8) == "\x89PNG\r\n\x1a\n");
  CHECK(png.substr(12, 4) == "IHDR");
  CHECK(png.substr(16, 8) == std::string("\0\0\x07\x80\0\0\x04\x38", 8));
}

TEST_CASE("chart: no SVG is no picture") {
  try {
    report::chart::png_of("<svg");
    FAIL("drawn");
  } catch (const Error& error) {
    const std::string said = error.what();
    CHECK_THAT(said, Contains("cannot be drawn as PNG"));
    CHECK(said.find('\n') == std::string::npos);
  }
  CHECK_THROWS_AS(report::chart::png_of(""), Error);
}

TEST_CASE("chart text: cleaned to one line of valid UTF-8") {
  using report::chart::clean;
  CHECK(clean("plain") == "plain");
  CHECK(clean("  a \n\t b  ") == "a b");
  // RFC 3629: overlong forms, surrogates, beyond U+10FFFF and cut sequences are no UTF-8.
  CHECK(clean("\xC0\xAF") == "\uFFFD\uFFFD");
  CHECK(clean("\xED\xA0\x80") == "\uFFFD\uFFFD\uFFFD");
  CHECK(clean("\xF4\x90\x80\x80") == "\uFFFD\uFFFD\uFFFD\uFFFD");
  CHECK(clean("\xE2\x82") == "\uFFFD\uFFFD");
  CHECK(clean("\u202Eabc\u2066\u200F") == "abc");
  CHECK(clean("\U0001F3AE") == "\U0001F3AE");
  const std::string& hostile = kHostileNames[6];
  for (std::size_t length = 0; length <= hostile.size(); ++length) {
    const std::string once = clean(hostile.substr(0, length));
    CHECK(clean(once) == once);
  }
}

TEST_CASE("chart text: shortened about its middle, broken at spaces") {
  using namespace report::chart;
  const std::string name(200, 'n');
  const std::string shown = shortened(name + "end", 400, 28);
  CHECK(text_width(shown, 28) <= 400);
  CHECK_THAT(shown, StartsWith("nnn") && Contains("\u2026") && Catch::Matchers::EndsWith("end"));
  CHECK(shortened("fits", 400, 28) == "fits");
  const std::vector<std::string> lines = broken("one two three four five six", 170, 28, 3);
  CHECK(lines.size() == 3);
  for (const std::string& line : lines) {
    CHECK(text_width(line, 28) <= 170);
  }
  CHECK(std::accumulate(lines.begin() + 1, lines.end(), lines[0],
                        [](const std::string& a, const std::string& b) { return a + ' ' + b; }) ==
        "one two three four five six");
}

TEST_CASE("chart axis: takes in all values with few round steps") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> exponent(-2, 5);
  std::uniform_real_distribution<double> share(-1, 1);
  for (int k = 0; k < 2000; ++k) {
    const double high = std::pow(10, exponent(random));
    const double low = share(random) * high;
    const report::chart::Axis axis = report::chart::make_axis(low, high);
    CAPTURE(low, high, axis.low_ms, axis.high_ms, axis.step_ms);
    REQUIRE(axis.low_ms <= low + 1e-9 * high);
    REQUIRE(axis.high_ms >= high * (1 - 1e-9));
    const std::vector<double> ticks = axis.ticks();
    REQUIRE(ticks.size() >= 2);
    REQUIRE(ticks.size() <= 13);
    const double mantissa =
        axis.step_ms / std::pow(10, std::floor(std::log10(axis.step_ms) + 1e-9));
    REQUIRE((mantissa == Approx(1) || mantissa == Approx(2) || mantissa == Approx(5)));
  }
  CHECK(report::chart::make_axis(5, 5).ticks().size() >= 2);
  CHECK(report::chart::make_axis(0, 0).ticks().size() >= 2);
}

TEST_CASE("chart colours: portions differ in grey") {
  // CIE 15, lightness L* of the luminance that IEC 61966-2-1 gives an sRGB colour.
  const auto lightness = [](const std::string& colour) {
    double luminance = 0;
    const double weights[] = {0.2126, 0.7152, 0.0722};
    for (std::size_t k = 0; k < 3; ++k) {
      const double value = std::stoi(colour.substr(1 + 2 * k, 2), nullptr, 16) / 255.0;
      luminance +=
          weights[k] * (value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4));
    }
    return 116 * std::cbrt(luminance) - 16;
  };
  using timing::Portion;
  const std::vector<double> of_parts = {lightness(report::chart::fill_of(Portion::kDelivery)),
                                        lightness(report::chart::fill_of(Portion::kScreen)),
                                        lightness(report::chart::fill_of(Portion::kRender))};
  for (std::size_t k = 0; k + 1 < of_parts.size(); ++k) {
    CHECK(of_parts[k + 1] - of_parts[k] >= 20);
  }
}
