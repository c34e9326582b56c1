#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>

#include "analysis/report/terminal_comparison.hpp"
#include "tests/analysis/verb_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::analyse;
using test::Answer;
namespace fs = std::filesystem;

namespace {

json compare(std::vector<std::string> sessions) {
  sessions.insert(sessions.begin(), "compare");
  sessions.insert(sessions.end(), {"--out", "-"});
  const Answer answer = analyse(sessions);
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  return answer.json();
}

/// Two groups of a table `group,value`.
std::vector<double> group_of(const std::string& file, const std::string& group) {
  std::istringstream lines(test::get(fs::path(THUMBLIGHT_DATA_DIR) / file));
  std::vector<double> values;
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind(group + ",", 0) == 0) {
      values.push_back(std::stod(line.substr(group.size() + 1)));
    }
  }
  return values;
}

/// Sessions of one machine and screen whose deliveries alone differ.
class SameScreen {
 public:
  SameScreen() {
    test::Bench wireless = bench();
    wireless.delivery_ms = 9;
    session_a_ = test::simulated(bench(), 1);
    session_b_ = test::simulated(wireless, 2);
    session_b_.log.header.labels["connection"] = "wireless";
  }

  static test::Bench bench() {
    test::Bench bench;
    bench.presses = 60;
    return bench;
  }

  session::Header& header_b() { return session_b_.log.header; }
  test::SimulatedSession& a() { return session_a_; }
  test::SimulatedSession& b() { return session_b_; }

  std::vector<std::string> folders() {
    return {test::put_session(folder_.path() / "a", session_a_),
            test::put_session(folder_.path() / "b", session_b_)};
  }
  json pair() { return compare(folders())["pairs"][0]; }
  Answer answer() {
    const std::vector<std::string> names = folders();
    return analyse({"compare", names[0], names[1]});
  }

 private:
  test::TemporaryFolder folder_;
  test::SimulatedSession session_a_;
  test::SimulatedSession session_b_;
};

double ms(const json& value) {
  return value.get<double>();
}

}  // namespace

TEST_CASE("compare: NIST's AUTO83B through the whole verb") {
  // NIST/SEMATECH e-Handbook 1.3.5.3: 249 and 79 values, means 20.14458 and 30.48101, here as
  // milliseconds. Welch's T and dof as Boost.Math's documentation prints them on the same data; the
  // rest computed with SciPy and R (interval, U, Brown and Forsythe).
  const test::TemporaryFolder folder;
  const json all =
      compare({test::put_totals(folder.path() / "us", group_of("nist/auto83b.csv", "US")),
               test::put_totals(folder.path() / "japan", group_of("nist/auto83b.csv", "Japan"))});
  const json& total = all["pairs"][0]["total_ms"];
  CHECK(total["n"] == json({249, 79}));
  CHECK(ms(total["difference_ms"]) == Approx(20.14458 - 30.48101).margin(1e-5));
  CHECK(ms(total["welch"]["t"]) == Approx(-12.94627).margin(5e-6));
  CHECK(ms(total["welch"]["dof"]) == Approx(136.87499).margin(2e-5));
  CHECK(ms(total["welch"]["p"]) == Approx(1.571e-25).epsilon(1e-3));
  CHECK(ms(total["welch"]["ci95"][0]) == Approx(-11.91524809464).margin(1e-6));
  CHECK(ms(total["welch"]["ci95"][1]) == Approx(-8.75762059531).margin(1e-6));
  // Nothing is known of the instruments, so the interval is Welch's own.
  CHECK(total["interval_ms"] == total["welch"]["ci95"]);
  CHECK(total["instants_stated"] == false);
  CHECK(ms(total["rank_sum"]["u_a"]) == 2521.5);
  CHECK(ms(total["rank_sum"]["p_continuity"]) == Approx(2.070329397e-23).epsilon(1e-6));
  CHECK(ms(total["a_faster"]["estimate"]) == Approx(1 - 2521.5 / (249 * 79)));
  CHECK(ms(total["brown_forsythe"]["w"]) == Approx(0.162451226135).epsilon(1e-8));
  CHECK(ms(total["brown_forsythe"]["p"]) == Approx(0.68717).margin(5e-6));
  CHECK(ms(total["sd_ms"][0]) == Approx(6.41470).margin(5e-6));
  CHECK(total["verdict"]["resolved"] == true);
  CHECK(ms(total["verdict"]["frames_of_60_hz"]) == Approx(-10.33643 * 0.06).margin(1e-5));
  CHECK(all["sessions"][0]["name"] == "us");
  CHECK(all["pairs"][0]["remainder_ms"].is_null());
}

TEST_CASE("compare: swapping A and B turns every sign") {
  SameScreen same;
  const std::vector<std::string> names = same.folders();
  const json there = compare(names)["pairs"][0];
  const json back = compare({names[1], names[0]})["pairs"][0];
  for (const char* portion : {"total_ms", "render_ms", "remainder_ms"}) {
    CAPTURE(portion);
    const json& a = there[portion];
    const json& b = back[portion];
    CHECK(ms(a["difference_ms"]) == Approx(-ms(b["difference_ms"])));
    CHECK(ms(a["interval_ms"][0]) == Approx(-ms(b["interval_ms"][1])));
    CHECK(ms(a["shift"]["ms"]) == Approx(-ms(b["shift"]["ms"])));
    CHECK(ms(a["a_faster"]["estimate"]) == Approx(1 - ms(b["a_faster"]["estimate"])));
    CHECK(ms(a["brown_forsythe"]["p"]) == Approx(ms(b["brown_forsythe"]["p"])));
    CHECK(a["verdict"]["reason"] == b["verdict"]["reason"]);
  }
  CHECK(ms(there["delivery_ms"]["bounds"][0]) == Approx(-ms(back["delivery_ms"]["bounds"][1])));
}

TEST_CASE("compare: on one machine and screen the remainders tell the deliveries apart") {
  SameScreen same;
  const json pair = same.pair();
  const json& delivery = pair["delivery_by_remainder"];
  CHECK(delivery["holds"] == true);
  CHECK(delivery["screen_differences"].empty());
  // Simulated: the deliveries of B are 5 ms longer.
  CHECK(ms(delivery["interval_ms"][0]) < -5);
  CHECK(ms(delivery["interval_ms"][1]) > -5);
  CHECK(ms(delivery["interval_ms"][1]) - ms(delivery["interval_ms"][0]) < 2);
  CHECK(delivery["verdict"]["resolved"] == true);
  // Without it there are but bounds, which hold the truth too.
  CHECK(ms(pair["delivery_ms"]["bounds"][0]) <= -5);
  CHECK(ms(pair["delivery_ms"]["bounds"][1]) >= -5);
  const Answer answer = same.answer();
  CHECK_THAT(answer.out, Contains("supposing that the screen portion is the same") &&
                             Contains("wired answers") && Contains("sooner than wireless") &&
                             Contains("(bounds)"));
}

TEST_CASE("compare: other screens are no ground for a difference of deliveries") {
  using Change = void (*)(session::Header&);
  const std::vector<std::pair<Change, std::string>> changes = {
      {[](session::Header& header) { header.display.refresh_hz = 144; },
       "refresh (59.94 Hz and 144 Hz)"},
      {[](session::Header& header) { header.display.vsync = false; }, "vsync (on and off)"},
      {[](session::Header& header) { header.display.mode_width = 1280; }, "mode ("},
      {[](session::Header& header) { header.display.renderer = "software"; }, "renderer ("},
      {[](session::Header& header) { header.patch.y = 0; }, "patch ("},
      {[](session::Header& header) { header.patch.bright_level = 128; }, "bright level ("},
      {[](session::Header& header) { header.pacing = "frame-start"; }, "pacing ("},
      {[](session::Header& header) { header.host.video_driver = "wayland"; }, "video driver ("},
      {[](session::Header& header) { header.host.cpus = 8; }, "processors ("},
      {[](session::Header& header) { header.labels["display"] = "tube"; },
       "label 'display' (none"}};
  for (const auto& [change, reason] : changes) {
    SameScreen same;
    change(same.header_b());
    const json delivery = same.pair()["delivery_by_remainder"];
    CAPTURE(reason);
    CHECK(delivery["holds"] == false);
    CHECK(delivery["interval_ms"].is_null());
    REQUIRE(delivery["screen_differences"].size() == 1);
    CHECK_THAT(delivery["screen_differences"][0].get<std::string>(), Contains(reason));
    CHECK_THAT(same.answer().out, Contains("is not that of the deliveries"));
  }
  // One mode by its two names is no other screen.
  SameScreen same;
  same.header_b().display.refresh_hz = 60;
  CHECK(same.pair()["delivery_by_remainder"]["holds"] == true);
}

TEST_CASE("compare: what every press shares stays in the difference as root sum of squares") {
  SameScreen same;
  const json bare = same.pair()["total_ms"];
  same.a().timings.recording.shared.push_back({"sound", "press", 0.003});
  same.b().timings.recording.shared.push_back({"sound", "press", 0.004});
  const json total = same.pair()["total_ms"];
  REQUIRE(total["shared"].size() == 1);
  CHECK(ms(total["shared"][0]["u_ms"]) == Approx(5));
  CHECK(total["shared"][0]["cancels"] == false);
  // JCGM 100:2008, 5.1.2: half-widths of independent parts join as root sum of squares.
  CHECK(ms(total["verdict"]["resolution_ms"]) == Approx(5 * 1.959964).epsilon(1e-6));
  CHECK(ms(total["verdict"]["uncertainty_ms"]) ==
        Approx(std::hypot(ms(bare["verdict"]["uncertainty_ms"]), 5 * 1.959964)).epsilon(1e-6));
  CHECK(bare["verdict"]["resolved"] == true);
  CHECK(total["verdict"]["reason"] == "below-resolution");
}

TEST_CASE("compare: one camera in one place reads out alike, and nothing else cancels") {
  SameScreen same;
  onset::CameraInfo camera;
  camera.width = 1280;
  camera.height = 720;
  camera.readout_source = "unknown";
  camera.patch = onset::Region{100, 100, 200, 200};
  camera.press = onset::Region{800, 500, 40, 40};
  for (test::SimulatedSession* session : {&same.a(), &same.b()}) {
    session->timings.recording.camera = camera;
    session->timings.recording.clock.rate_hz = 240;
    session->timings.recording.shared = {
        {"readout", "press", 0.003}, {"readout", "light", 0.001}, {"exposure", "light", 0.001}};
  }
  const auto readout = [&] { return same.pair()["total_ms"]["shared"][0]; };
  // The files alike do not show that the camera is one.
  CHECK(readout()["cancels"] == false);
  CHECK(ms(readout()["u_ms"]) == Approx(2 * std::sqrt(2.0)));
  same.a().log.header.labels["camera"] = "pocket";
  same.b().log.header.labels["camera"] = "pocket";
  CHECK(readout()["cancels"] == true);
  CHECK(ms(readout()["u_ms"]) == Approx(0).margin(1e-9));
  CHECK(same.pair()["total_ms"]["shared"][1]["cancels"] == false);
  // Aimed otherwise, or estimated anew from each film, it does not.
  same.b().timings.recording.camera->press->y = 100;
  CHECK(readout()["cancels"] == false);
  same.b().timings.recording.camera->press->y = 500;
  CHECK(readout()["cancels"] == true);
  same.a().timings.recording.camera->readout_source = "estimated";
  same.b().timings.recording.camera->readout_source = "estimated";
  CHECK(readout()["cancels"] == false);
}

TEST_CASE("compare: instants that are coarser than the scatter keep their doubt") {
  const test::TemporaryFolder folder;
  const auto put_frames = [&](const std::string& name, int frames) {
    fs::create_directories(folder.path() / name);
    std::string table = "press_frame,light_frame\n";
    for (int k = 0; k < 25; ++k) {
      table += std::to_string(100 * k) + ',' + std::to_string(100 * k + frames) + '\n';
    }
    test::put(folder.path() / name / "timings.csv", table);
    return (folder.path() / name).string();
  };
  const Answer answer = analyse(
      {"compare", put_frames("a", 9), put_frames("b", 10), "--capture-rate", "240", "--out", "-"});
  REQUIRE(answer.exit_code == 0);
  const json total = answer.json()["pairs"][0]["total_ms"];
  CHECK(ms(total["difference_ms"]) == Approx(-1000.0 / 240).margin(1e-6));
  // Counted in whole frames: each total to T / sqrt 6 (common practice), none of it in the scatter.
  CHECK(total["instants_stated"] == true);
  CHECK(ms(total["unseen_u_ms"]) ==
        Approx(1000.0 / 240 / std::sqrt(6.0) * std::sqrt(2.0 / 25)).epsilon(1e-4));
  CHECK(ms(total["verdict"]["uncertainty_ms"]) > 0.9);
}

TEST_CASE("compare: without scatter and without stated uncertainties there is no verdict") {
  const test::TemporaryFolder folder;
  const std::string a = test::put_totals(folder.path() / "a", {40, 40, 40});
  const std::string b = test::put_totals(folder.path() / "b", {50, 50, 50});
  const json total = compare({a, b})["pairs"][0]["total_ms"];
  CHECK(ms(total["difference_ms"]) == Approx(-10));
  CHECK(total["verdict"].is_null());
  CHECK(total["interval_ms"].is_null());
  CHECK_THAT(analyse({"compare", a, b}).out, Contains("nothing says how far"));
}

TEST_CASE("compare: one press gives no SD and no interval") {
  const test::TemporaryFolder folder;
  const std::string one = test::put_totals(folder.path() / "one", {40});
  const std::string some = test::put_totals(folder.path() / "some", {50, 52, 47, 55});
  const json total = compare({one, some})["pairs"][0]["total_ms"];
  CHECK(ms(total["difference_ms"]) == Approx(-11));
  CHECK(total["interval_ms"].is_null());
  CHECK(total["sd_ms"][0].is_null());
  CHECK(total["welch"].is_null());
  CHECK(total["brown_forsythe"].is_null());
  CHECK(total["verdict"]["reason"] == "too-few-presses");
  CHECK_THAT(analyse({"compare", one, some}).out, Contains("one press: that gives no SD"));
  const std::string other = test::put_totals(folder.path() / "other", {41});
  CHECK_THAT(analyse({"compare", one, other}).out, Contains("Either has one press"));
}

TEST_CASE("compare: more than two are compared in pairs and adjusted after Holm") {
  const test::TemporaryFolder folder;
  const std::vector<double> base = {40, 44, 37, 41, 46, 39, 43, 38};
  const auto shifted = [&](double by) {
    std::vector<double> values = base;
    std::for_each(values.begin(), values.end(), [by](double& value) { value += by; });
    return values;
  };
  const std::vector<std::string> names = {test::put_totals(folder.path() / "a", base),
                                          test::put_totals(folder.path() / "b", shifted(3.4)),
                                          test::put_totals(folder.path() / "c", shifted(9))};
  const json all = compare(names);
  REQUIRE(all["pairs"].size() == 3);
  std::vector<std::pair<double, double>> p;
  for (const json& pair : all["pairs"]) {
    p.emplace_back(ms(pair["total_ms"]["welch"]["p"]), ms(pair["total_ms"]["p_adjusted"]));
  }
  // S. Holm, Scandinavian Journal of Statistics 6, 1979: the least by 3, the next by 2, the last by
  // 1, never falling, never above 1.
  std::sort(p.begin(), p.end());
  CHECK(p[0].second == Approx(3 * p[0].first));
  CHECK(p[1].second == Approx(std::max(p[0].second, 2 * p[1].first)));
  CHECK(p[2].second == Approx(std::max(p[1].second, p[2].first)));
  // a and b differ if looked at alone (as two sessions), and then are resolved.
  const json alone = compare({names[0], names[1]})["pairs"][0]["total_ms"];
  CHECK(alone["p_adjusted"].is_null());
  CHECK(ms(alone["welch"]["p"]) == Approx(p[2].first));
  const Answer answer = analyse({"compare", names[0], names[1], names[2]});
  CHECK_THAT(answer.out,
             Contains("A less C") && Contains("after Holm") && Contains("pairs resolved"));
  CHECK(test::widest(answer.out) <= 80);
}

TEST_CASE("compare: resolved alone, but not among many") {
  const test::TemporaryFolder folder;
  std::vector<std::string> names;
  // Welch's p of the first two is between 0.05 / 6 and 0.05; the others repeat the first.
  const std::vector<std::vector<double>> totals = {{40, 44, 37, 41, 46, 39, 43, 38},
                                                   {44, 48, 41, 45, 50, 43, 47, 42},
                                                   {40, 44, 37, 41, 46, 39, 43, 39},
                                                   {40, 44, 37, 41, 46, 39, 43, 37}};
  for (std::size_t k = 0; k < totals.size(); ++k) {
    names.push_back(test::put_totals(folder.path() / std::to_string(k), totals[k]));
  }
  CHECK(compare({names[0], names[1]})["pairs"][0]["total_ms"]["verdict"]["resolved"] == true);
  const json among = compare(names)["pairs"][0]["total_ms"]["verdict"];
  CHECK(among["resolved"] == false);
  CHECK(among["reason"] == "one-of-many");
}

TEST_CASE("compare: labels name the set-ups, those of setup.json where there is no log") {
  const test::TemporaryFolder folder;
  const std::string a = test::put_totals(folder.path() / "a", {40, 42, 41});
  const std::string b = test::put_totals(folder.path() / "b", {50, 53, 51});
  test::put(folder.path() / "a" / "setup.json",
            R"({"labels":{"controller":"heron","display":"tube"}})");
  test::put(folder.path() / "b" / "setup.json",
            R"({"labels":{"controller":"egret","display":"tube"}})");
  const json all = compare({a, b});
  CHECK(all["sessions"][0]["name"] == "heron");
  CHECK(all["sessions"][1]["name"] == "egret");
  CHECK(all["sessions"][1]["labels"]["display"] == "tube");
  CHECK_THAT(analyse({"compare", a, b}).out, Contains("heron answers") && Contains("than egret"));
  test::put(folder.path() / "b" / "setup.json", R"({"labels":{"controller":7}})");
  const Answer wrong = analyse({"compare", a, b});
  CHECK(wrong.exit_code == 1);
  CHECK_THAT(wrong.err, Contains("setup.json") && Contains("controller"));
}

TEST_CASE("compare: a result.json stands for its session, if it is of these timings") {
  SameScreen same;
  const std::vector<std::string> names = same.folders();
  REQUIRE(analyse({"split", names[0], "--quiet"}).exit_code == 0);
  const json by_folder = compare(names);
  const json by_file = compare({names[0] + "/result.json", names[1]});
  CHECK(by_file["pairs"] == by_folder["pairs"]);
  // Split without the clocks tied, the session is compared so too.
  REQUIRE(analyse({"split", names[0], "--clock-link", "none", "--quiet"}).exit_code == 0);
  CHECK(compare(names)["pairs"][0]["delivery_ms"].is_null());
  CHECK(compare(names)["sessions"][0]["clock_link"] == "none");
  // And what else its split rested on: a stated scan-out lets causality bound more tightly.
  const auto screen_by = [&](const std::vector<std::string>& basis) {
    std::vector<std::string> arguments = {"split", names[0], "--clock-link", "causality"};
    arguments.insert(arguments.end(), basis.begin(), basis.end());
    REQUIRE(analyse(arguments).exit_code == 0);
    return compare(names)["pairs"][0]["screen_ms"]["bounds"];
  };
  const json stated = screen_by({"--scan-out-share", "0.5"});
  const json none = screen_by({"--no-scan-out-prior"});
  CHECK(stated != none);
  CHECK(screen_by({"--scan-out-share", "0.5"}) == stated);
  const std::string table = (fs::path(names[0]) / "other.csv").string();
  test::put(table, "press_s,light_s\n1,1.04\n2,2.05\n");
  const std::string stray = (fs::path(names[0]) / "stray.json").string();
  REQUIRE(analyse({"split", "--timings", table, "--out", stray, "--quiet"}).exit_code == 0);
  const Answer refused = analyse({"compare", stray, names[1]});
  CHECK(refused.exit_code == 1);
  CHECK_THAT(refused.err, Contains("says otherwise than the timings"));
}

TEST_CASE("compare: what cannot be compared gets one sentence and the right exit code") {
  const test::TemporaryFolder folder;
  const std::string good = test::put_totals(folder.path() / "good", {40, 41});
  const std::string other = test::put_totals(folder.path() / "other", {40, 41});
  fs::create_directories(folder.path() / "filmed");
  test::put(folder.path() / "filmed" / "camera.mp4", "");
  const std::string filmed = (folder.path() / "filmed").string();
  fs::create_directories(folder.path() / "empty");
  const std::string empty = (folder.path() / "empty").string();
  const std::vector<std::tuple<std::vector<std::string>, int, std::string>> wrong = {
      {{}, 2, "two sessions or more"},
      {{good}, 2, "two sessions or more"},
      {{good, good + "/"}, 2, "named twice"},
      {{good, other, "--out", good + "/timings.csv"}, 2, "belongs to a session"},
      {{good, other, "--exchanges", "x.csv"}, 2, "exchange.csv"},
      {{good, other, "--clock-link", "shared"}, 2, "needs the session log"},
      {{good, filmed}, 1, "measure " + filmed},
      {{good, empty}, 1, "holds neither timings nor a recording"},
      {{good, "/nonexistent"}, 1, "/nonexistent: is not there"},
      {{good, good + "/timings.csv"}, 1, "timings.csv"},
      {{good, other, "--out", "/nonexistent/x.json"}, 1, "cannot be written"},
  };
  for (const auto& [arguments, exit_code, part] : wrong) {
    std::vector<std::string> all = {"compare"};
    all.insert(all.end(), arguments.begin(), arguments.end());
    const Answer answer = analyse(all);
    INFO(answer.err);
    CHECK(answer.exit_code == exit_code);
    CHECK(answer.out.empty());
    CHECK_THAT(answer.err, Contains(part));
    CHECK(std::count(answer.err.begin(), answer.err.end(), '\n') == 1);
  }
  CHECK(analyse({"compare", good, other, "--quiet"}).out.empty());
  CHECK_THAT(analyse({"compare", "--help"}).out, Contains("Examples:"));
}

TEST_CASE("compare: a narrow terminal has no longer lines than it shows") {
  SameScreen same;
  const auto session = [](const std::string& path, const test::SimulatedSession& simulated) {
    report::ComparedSession compared;
    compared.path = path;
    compared.result = report::make_result(
        timing::split_presses(simulated.timings, &simulated.log, timing::ClockLinkKind::kCausality),
        simulated.timings, &simulated.log);
    compared.header = simulated.log.header;
    return compared;
  };
  const auto two = report::compare_sessions({session("a", same.a()), session("b", same.b())});
  CHECK(test::widest(report::terminal_comparison(two, 60)) <= 60);
  const auto three = report::compare_sessions(
      {session("a", same.a()), session("b", same.b()), session("c", same.a())});
  CHECK(test::widest(report::terminal_comparison(three, 60)) <= 60);
}

TEST_CASE("compare: places beyond Z have two letters") {
  CHECK(report::letter(0) == "A");
  CHECK(report::letter(25) == "Z");
  CHECK(report::letter(26) == "AA");
  CHECK(report::letter(51) == "AZ");
  CHECK(report::letter(52) == "BA");
}
