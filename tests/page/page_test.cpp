#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "analysis/recording/picture.hpp"
#include "analysis/report/page/base64.hpp"
#include "analysis/report/page/coarser_jpeg.hpp"
#include "analysis/report/page/data_block.hpp"
#include "analysis/report/page/page.hpp"
#include "analysis/report/page/parts.hpp"
#include "analysis/report/page/plain_name.hpp"
#include "analysis/report/result_json.hpp"
#include "harness/session/error.hpp"
#include "tests/analysis/verb_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::report;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::Bench;
using timing::ClockLinkKind;

namespace {

ComparedSession session_of(const Bench& bench, ClockLinkKind kind, unsigned seed = 5) {
  const test::SimulatedSession simulated = test::simulated(bench, seed);
  const session::Log* log = kind == ClockLinkKind::kNone ? nullptr : &simulated.log;
  ComparedSession session;
  session.path = "evenings/evening-1";
  session.result =
      make_result(timing::split_presses(simulated.timings, log, kind), simulated.timings, log);
  if (log != nullptr) {
    session.header = log->header;
  }
  return session;
}

Bench on_one_clock(std::size_t presses) {
  Bench bench;
  bench.presses = presses;
  bench.offset_s = 0;
  bench.host_base_ns = 0;
  return bench;
}

std::string page_of(const ComparedSession& session, std::vector<Evidence> evidence = {}) {
  return report_page({session}, std::nullopt, std::move(evidence));
}

/// The document in the page's data block, as a browser's JSON.parse would read it.
json data_in(const std::string& page) {
  constexpr std::string_view kOpen = "<script type=\"application/json\" id=\"data\">";
  const std::size_t begin = page.find(kOpen) + kOpen.size();
  return json::parse(page.substr(begin, page.find("</script>", begin) - begin));
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t found = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) {
    ++found;
  }
  return found;
}

std::string jpeg(const std::filesystem::path& folder, int width) {
  recording::Picture picture(width, 120);
  for (int x = 0; x < width; ++x) {
    for (int y = 0; y < 120; ++y) {
      const auto grey = static_cast<std::uint8_t>((x * 7919 + y * 104729) % 251);
      picture.set(x, y, {grey, grey, grey});
    }
  }
  const std::filesystem::path file = folder / "press-000.jpg";
  recording::write_picture(picture, file);
  return test::get(file);
}

}  // namespace

// RFC 4648, 10: test vectors.
TEST_CASE("base 64") {
  CHECK(base64("").empty());
  CHECK(base64("f") == "Zg==");
  CHECK(base64("fo") == "Zm8=");
  CHECK(base64("foo") == "Zm9v");
  CHECK(base64("foob") == "Zm9vYg==");
  CHECK(base64("fooba") == "Zm9vYmE=");
  CHECK(base64("foobar") == "Zm9vYmFy");
  CHECK(base64(std::string("\xFF\xFE\x00", 3)) == "//4A");
}

TEST_CASE("nothing in the data block can end its element, and it reads back as it was") {
  const std::string name =
      "</script><!-- <script>alert(1)</script> --> & \"' \n \xE2\x80\xA8 \xE2\x80\xA9 "
      "\xE2\x80\xAE\xF0\x9F\x98\x80";
  const std::string block = data_block({{"name", name}});
  CHECK(block.find('<') == std::string::npos);
  CHECK(block.find('>') == std::string::npos);
  CHECK(block.find('&') == std::string::npos);
  CHECK(block.find('\n') == std::string::npos);
  CHECK(block.find("\xE2\x80\xA8") == std::string::npos);
  CHECK(block.find("\xE2\x80\xA9") == std::string::npos);
  CHECK(json::parse(block)["name"] == name);
}

TEST_CASE("what is no UTF-8 becomes the replacement character, in data and in text") {
  CHECK(json::parse(data_block({{"name", "a\xC3(\xFF"}}))["name"] == "a\xEF\xBF\xBD(\xEF\xBF\xBD");
  CHECK(html_text("a\xFF<b> & \"c\"") == "a\xEF\xBF\xBD&lt;b&gt; &amp; &quot;c&quot;");
}

TEST_CASE("the page is one file: all its parts are inside, and its policy allows no network") {
  const std::string page = page_of(session_of(on_one_clock(20), ClockLinkKind::kShared));
  CHECK_THAT(page, Contains(std::string(page_style())));
  CHECK_THAT(page, Contains(std::string(page_script())));
  CHECK(page.find(page_library()) != std::string::npos);
  CHECK_THAT(page, Contains("default-src 'none'"));
  CHECK_THAT(page, Contains("script-src 'sha256-"));
  CHECK(page.substr(0, page.find("<style>")).find("{{") == std::string::npos);
  CHECK(count(page, "<script src") == 0);
  CHECK(count(page, "<link") == 0);
  CHECK(page_library().size() > 500'000);
}

TEST_CASE("the page holds the very numbers of result.json") {
  const ComparedSession session = session_of(on_one_clock(20), ClockLinkKind::kShared);
  const json data = data_in(page_of(session));
  CHECK(data["sessions"][0]["result"] == json::parse(encode_result_json(session.result)));
  CHECK(data["sessions"][0]["portions"]["delivery"]["kind"] == "value");
  CHECK(data["sessions"][0]["why"] == "");
  CHECK(data["sessions"][0]["presses"].size() == 20);
}

TEST_CASE("bounds alone stay bounds, and the page says why") {
  const json data = data_in(page_of(session_of(Bench{}, ClockLinkKind::kCausality)));
  const json& portions = data["sessions"][0]["portions"];
  CHECK(portions["total"]["kind"] == "value");
  CHECK(portions["delivery"]["kind"] == "bounds");
  CHECK(portions["delivery"].contains("mean") == false);
  CHECK(portions["delivery"]["low"] < portions["delivery"]["high"]);
  CHECK_THAT(portions["delivery"]["text"].get<std::string>(), Contains("within"));
  CHECK_THAT(data["sessions"][0]["why"].get<std::string>(), Contains("within bounds alone"));
}

TEST_CASE("without a log the total alone is told, and the page says why") {
  const json data = data_in(page_of(session_of(Bench{}, ClockLinkKind::kNone)));
  const json& session = data["sessions"][0];
  CHECK(session["portions"]["total"]["kind"] == "value");
  CHECK(session["portions"]["delivery"]["kind"] == "unknown");
  CHECK(session["phase"].is_null());
  CHECK_THAT(session["why"].get<std::string>(), Contains("no log"));
}

TEST_CASE("one press has a value and no interval") {
  const json data = data_in(page_of(session_of(on_one_clock(1), ClockLinkKind::kNone)));
  CHECK_THAT(data["answer"].get<std::string>(), Contains("in the one press seen"));
  CHECK_THAT(data["answer"].get<std::string>(), Contains("no interval"));
  CHECK(data["sessions"][0]["portions"]["total"]["low"].is_null());
  CHECK(data["sessions"][0]["budgets"].empty());
}

TEST_CASE("a session whose presses have no light is told in words") {
  test::SimulatedSession simulated = test::simulated(Bench{}, 5);
  for (onset::PressTiming& press : simulated.timings.presses) {
    press.light.reset();
  }
  ComparedSession session;
  session.path = "dark";
  session.result =
      make_result(timing::split_presses(simulated.timings, nullptr, ClockLinkKind::kNone),
                  simulated.timings, nullptr);
  const json data = data_in(page_of(session));
  CHECK_THAT(data["answer"].get<std::string>(), Contains("No total is known"));
  CHECK(data["sessions"][0]["portions"]["total"]["kind"] == "unknown");
}

TEST_CASE("three sessions are compared on one page, each pair with its sentences") {
  std::vector<ComparedSession> sessions;
  for (const double delivery_ms : {4.0, 12.0, 40.0}) {
    Bench bench;
    bench.delivery_ms = delivery_ms;
    sessions.push_back(session_of(bench, ClockLinkKind::kCausality));
    sessions.back().path = "folder-" + std::to_string(static_cast<int>(delivery_ms));
    sessions.back().result.labels["controller"] = "pad " + std::to_string(sessions.size());
  }
  const ComparisonResult comparison = compare_sessions(std::move(sessions));
  const json data = data_in(report_page(comparison.sessions, comparison, {}));
  CHECK(data["sessions"].size() == 3);
  CHECK(data["comparison"]["pairs"].size() == 3);
  CHECK(data["comparison"]["pairs"][0]["rows"].size() == timing::kPortionCount);
  CHECK_THAT(data["answer"].get<std::string>(), Contains("“pad 1”") && Contains("soonest"));
  CHECK_THAT(data["comparison"]["pairs"][1]["sentences"][0].get<std::string>(),
             Contains("“pad 1” answers") && Contains("sooner than “pad 3”"));
}

TEST_CASE("the answer names nobody the soonest who is not told apart from the next") {
  std::vector<ComparedSession> sessions;
  for (const double delivery_ms : {4.0, 4.1, 60.0}) {
    Bench bench;
    bench.delivery_ms = delivery_ms;
    sessions.push_back(
        session_of(bench, ClockLinkKind::kCausality, static_cast<unsigned>(sessions.size())));
    sessions.back().path = "folder-" + std::to_string(sessions.size());
  }
  const std::vector<ComparedSession> two(sessions.begin(), sessions.begin() + 2);
  const ComparisonResult all = compare_sessions(std::move(sessions));
  CHECK_THAT(data_in(report_page(all.sessions, all, {}))["answer"].get<std::string>(),
             Contains("has the least mean, not told apart from") && Contains("“folder-3”") &&
                 !Contains("soonest"));
  const ComparisonResult alike = compare_sessions(two);
  CHECK_THAT(data_in(report_page(alike.sessions, alike, {}))["answer"].get<std::string>(),
             Contains("No set-up is shown to answer sooner"));
}

TEST_CASE("a name turns the direction of nothing after it") {
  CHECK(plain_name("a\u202Eb\u2069\u200Fc") == "abc");
  CHECK(plain_name("") == "");
  CHECK(quoted("pad") == "“pad”");
  CHECK(quoted("\u202E\u05D0") == "“\u2068\u05D0\u2069”");
}

TEST_CASE("hostile names reach the page as data, and never as markup") {
  ComparedSession session = session_of(on_one_clock(12), ClockLinkKind::kShared);
  const std::string name = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>\xFF";
  session.result.labels["controller"] = name;
  session.header->input.device = name;
  session.result.recording.file = name;
  session.path = "<b>" + name;
  const std::string page = page_of(session);
  CHECK(count(page, "alert(1)</script>") == 0);
  CHECK(count(page, "<img src=x") == 0);
  CHECK_THAT(page, Contains("<title>&lt;script&gt;alert(1)&lt;/script&gt;&quot;"));
  CHECK_THAT(data_in(page)["sessions"][0]["labels"]["controller"].get<std::string>(),
             Contains("<script>alert(1)</script>"));
}

TEST_CASE("the pictures of the evidence lie in the page, by press") {
  const test::TemporaryFolder folder;
  std::filesystem::create_directories(folder.path() / "evidence");
  const std::string picture = jpeg(folder.path(), 400);
  test::put(folder.path() / "evidence" / "press-003.jpg", picture);
  test::put(folder.path() / "evidence" / "press-004.jpg", "no picture at all");
  test::put(folder.path() / "regions.png", "<svg onload=alert(1)>");
  const ComparedSession session = session_of(on_one_clock(8), ClockLinkKind::kShared);
  const Evidence evidence = read_evidence(folder.path(), session.result);
  CHECK(evidence.strips.size() == 1);
  CHECK(evidence.regions.empty());
  const json data = data_in(page_of(session, {evidence}));
  CHECK(data["sessions"][0]["strips"]["3"] == "data:image/jpeg;base64," + base64(picture));
  CHECK(data["sessions"][0]["regions"].is_null());
  CHECK(data["sessions"][0]["strips_left_out"] == 0);
}

TEST_CASE("strips that are too large together are coarsened first and left out last") {
  const test::TemporaryFolder folder;
  const std::string picture = jpeg(folder.path(), 900);
  const std::string coarse = coarser_jpeg(picture, 16);
  CHECK(coarse.size() < picture.size());
  CHECK(coarse.compare(0, 3, "\xFF\xD8\xFF") == 0);
  CHECK(coarser_jpeg("no picture", 16) == "no picture");
  CHECK(coarser_jpeg("", 16).empty());

  std::vector<Evidence> evidence(2);
  for (std::int64_t k = 0; k < 10; ++k) {
    evidence[0].strips[k] = picture;
    evidence[1].strips[k] = picture;
  }
  std::vector<Evidence> coarsened = evidence;
  shrink_strips(coarsened, picture.size() * 10);
  CHECK(coarsened[0].strips.size() == 10);
  CHECK(coarsened[0].left_out == 0);
  CHECK(coarsened[0].strips[0].size() * 20 <= picture.size() * 10);

  shrink_strips(evidence, coarser_jpeg(picture, kCoarsestJpeg).size() * 5);
  CHECK(evidence[0].strips.size() + evidence[0].left_out == 10);
  CHECK(evidence[0].left_out > 0);
  CHECK(evidence[0].left_out == evidence[1].left_out);
}

TEST_CASE("a report needs a session") {
  CHECK_THROWS_AS(report_page({}, std::nullopt, {}), Error);
}

TEST_CASE("the verb writes the page beside the session, or where it is told") {
  const test::TemporaryFolder folder;
  const std::string one = test::put_session(folder.path() / "one", test::simulated(Bench{}, 1));
  const std::string two = test::put_session(folder.path() / "two", test::simulated(Bench{}, 2));
  const test::Answer alone = test::analyse({"report", one});
  CHECK(alone.exit_code == 0);
  CHECK_THAT(alone.out, Contains("report: ") && Contains("report.html"));
  CHECK(data_in(test::get(folder.path() / "one" / "report.html"))["sessions"].size() == 1);

  const std::string out = (folder.path() / "both.html").string();
  CHECK(test::analyse({"report", one, two, "--out", out}).exit_code == 0);
  CHECK(data_in(test::get(out))["sessions"].size() == 2);
  CHECK_FALSE(std::filesystem::exists(folder.path() / "two" / "report.html"));

  const test::Answer piped = test::analyse({"report", one, "--quiet", "--out", "-"});
  CHECK(piped.out.rfind("<!DOCTYPE html>", 0) == 0);
}

TEST_CASE("the verb refuses what would lose evidence or make no sense") {
  const test::TemporaryFolder folder;
  const std::string one = test::put_session(folder.path() / "one", test::simulated(Bench{}, 1));
  CHECK(test::analyse({"report"}).exit_code == kExitUsage);
  CHECK(test::analyse({"report", one, one}).exit_code == kExitUsage);
  CHECK(test::analyse({"report", one, "--out", one + "/timings.json"}).exit_code == kExitUsage);
  CHECK(test::analyse({"report", (folder.path() / "nowhere").string()}).exit_code == kExitFailed);
}

TEST_CASE("measure ends with the report, unless it is told not to") {
  const test::TemporaryFolder folder;
  const std::string one = test::put_session(folder.path() / "one", test::simulated(Bench{}, 1));
  const std::filesystem::path report = folder.path() / "one" / "report.html";
  CHECK(test::analyse({"measure", one, "--no-report"}).exit_code == 0);
  CHECK_FALSE(std::filesystem::exists(report));
  CHECK(test::analyse({"measure", one}).exit_code == 0);
  json shown = data_in(test::get(report))["sessions"][0]["result"];
  json written = json::parse(test::get(folder.path() / "one" / "result.json"));
  CHECK(written["made_from"].is_object());
  // What a result was made from matters to whoever measures again, not to readers.
  shown.erase("made_from");
  written.erase("made_from");
  CHECK(shown == written);
}
