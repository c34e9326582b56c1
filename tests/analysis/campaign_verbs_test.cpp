#include <catch2/catch.hpp>
#include <chrono>
#include <filesystem>

#include "analysis/commands/input_record.hpp"
#include "tests/analysis/campaign_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::analyse;
using test::Answer;
namespace fs = std::filesystem;

namespace {

json campaign_json(const std::string& folder, std::vector<std::string> further = {}) {
  std::vector<std::string> arguments = {"compare", folder, "--out", "-"};
  arguments.insert(arguments.end(), further.begin(), further.end());
  const Answer answer = analyse(arguments);
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  return answer.json();
}

std::vector<std::string> names(const json& campaign) {
  std::vector<std::string> list;
  for (const json& set_up : campaign["set_ups"]) {
    list.push_back(set_up["name"]);
  }
  return list;
}

/// Of a session that a comparison names by one letter.
std::size_t place(const std::string& letter) {
  REQUIRE(letter.size() == 1);
  return static_cast<std::size_t>(letter.front() - 'A');
}

std::string without_provenance(const fs::path& result) {
  json document = json::parse(test::get(result));
  document.erase("made_from");
  return document.dump();
}

}  // namespace

TEST_CASE("measure: a campaign is measured once, and again only where inputs have changed") {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), test::four_set_ups());
  fs::create_directories(folder.path() / "notes");
  test::put_session(folder.path() / ".hidden", test::simulated(test::four_set_ups()[0], 9));

  const Answer first = analyse({"measure", campaign});
  CHECK(first.exit_code == 0);
  CHECK(first.err.empty());
  CHECK_THAT(first.out, Contains("4 sessions: 4 measured, 0 up to date, 0 broken"));
  CHECK_THAT(first.out, Contains("a: total "));
  CHECK_FALSE(fs::exists(folder.path() / ".hidden" / "result.json"));
  CHECK_FALSE(fs::exists(folder.path() / "notes" / "result.json"));

  const auto written = fs::last_write_time(folder.path() / "a" / "result.json");
  CHECK_THAT(analyse({"measure", campaign}).out,
             Contains("4 sessions: 0 measured, 4 up to date, 0 broken"));
  CHECK(fs::last_write_time(folder.path() / "a" / "result.json") == written);

  SECTION("other timings") {
    test::put_session(folder.path() / "b", test::simulated(test::four_set_ups()[1], 77));
    CHECK_THAT(analyse({"measure", campaign}).out, Contains("1 measured, 3 up to date"));
  }
  SECTION("an exchange table that was not there") {
    test::put(folder.path() / "b" / "exchange.csv", "t1_ns,t2_s,t3_s,t4_ns\n");
    CHECK_THAT(analyse({"measure", campaign}).out, Contains("1 measured, 3 up to date"));
  }
  SECTION("what setup.json says of the measuring") {
    test::put(folder.path() / "b" / "setup.json", R"({"capture_rate_hz":240})");
    CHECK_THAT(analyse({"measure", campaign}).out, Contains("1 measured, 3 up to date"));
  }
  SECTION("labels are not measured") {
    test::put(folder.path() / "b" / "setup.json", R"({"labels":{"room":"attic"}})");
    CHECK_THAT(analyse({"measure", campaign}).out, Contains("0 measured, 4 up to date"));
    CHECK(campaign_json(campaign).dump().find("attic") != std::string::npos);
  }
  SECTION("other options") {
    CHECK_THAT(analyse({"measure", campaign, "--clock-link", "none"}).out, Contains("4 measured"));
    CHECK_THAT(analyse({"measure", campaign, "--clock-link", "none"}).out,
               Contains("0 measured, 4 up to date"));
    CHECK(campaign_json(campaign)["set_ups"][0]["clock_link"] == "none");
  }
  SECTION("a result that is none any more") {
    test::put(folder.path() / "b" / "result.json", "{");
    CHECK_THAT(analyse({"measure", campaign}).out, Contains("1 measured, 3 up to date"));
  }
  SECTION("a session that was measured by itself counts") {
    fs::remove(folder.path() / "b" / "result.json");
    CHECK(analyse({"measure", (folder.path() / "b").string()}).exit_code == 0);
    CHECK_THAT(analyse({"measure", campaign}).out, Contains("0 measured, 4 up to date"));
    fs::remove(folder.path() / "c" / "result.json");
    CHECK(analyse({"split", (folder.path() / "c").string()}).exit_code == 0);
    CHECK_THAT(analyse({"measure", campaign}).out, Contains("0 measured, 4 up to date"));
  }
}

TEST_CASE(
    "Inputs: a large recording counts by size and time, and by content where the time differs") {
  const test::TemporaryFolder folder;
  const fs::path film = folder.path() / "camera.mp4";
  std::string content(5'000'000, 'x');
  test::put(film, content);
  const report::Provenance then = commands::record_inputs(folder.path(), "");
  REQUIRE(then.inputs.size() == 1);
  CHECK(then.inputs[0].name == "camera.mp4");
  CHECK(then.inputs[0].bytes == content.size());
  CHECK(commands::inputs_unchanged(folder.path(), then));
  // As after a copy: another time, the same content.
  fs::last_write_time(film, fs::last_write_time(film) - std::chrono::hours(1));
  CHECK(commands::inputs_unchanged(folder.path(), then));
  content[2'500'000] = 'y';
  test::put(film, content);
  fs::last_write_time(film, fs::last_write_time(film) - std::chrono::hours(1));
  CHECK_FALSE(commands::inputs_unchanged(folder.path(), then));
  fs::remove(film);
  CHECK_FALSE(commands::inputs_unchanged(folder.path(), then));
  test::put(folder.path() / "timings.csv", "press_s,light_s\n1,1.02\n");
  CHECK_FALSE(commands::inputs_unchanged(folder.path(), then));
}

TEST_CASE("measure: a campaign's results are those of its sessions one by one, however many jobs") {
  const test::TemporaryFolder folder;
  const std::string one = test::put_campaign(folder.path() / "one", test::four_set_ups());
  const std::string all = test::put_campaign(folder.path() / "all", test::four_set_ups());
  for (const test::SimulatedSetUp& set_up : test::four_set_ups()) {
    REQUIRE(analyse({"measure", one + '/' + set_up.folder}).exit_code == 0);
  }
  REQUIRE(analyse({"measure", all, "--jobs", "3"}).exit_code == 0);
  for (const test::SimulatedSetUp& set_up : test::four_set_ups()) {
    CHECK(test::get(fs::path(one) / set_up.folder / "result.json").size() > 1000);
    CHECK(without_provenance(fs::path(one) / set_up.folder / "result.json") ==
          without_provenance(fs::path(all) / set_up.folder / "result.json"));
  }
}

TEST_CASE("measure: a broken session is named and does not stop the others") {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), test::four_set_ups());
  test::put(folder.path() / "b" / "session.jsonl", "no log\n");
  test::put(folder.path() / "c" / "camera.mp4", "no film");
  test::put(folder.path() / "c" / "second.mp4", "no film");
  const Answer answer = analyse({"measure", campaign});
  CHECK(answer.exit_code == 1);
  CHECK_THAT(answer.err, Contains("broken: b: ") && Contains("broken: c: ") &&
                             Contains("holds more than one recording"));
  CHECK_THAT(answer.err, Contains("2 of 4 sessions could not be measured"));
  CHECK_THAT(answer.out, Contains("4 sessions: 2 measured, 0 up to date, 2 broken"));
  CHECK(fs::exists(folder.path() / "a" / "result.json"));
  CHECK(fs::exists(folder.path() / "d" / "result.json"));

  const Answer compared = analyse({"compare", campaign});
  CHECK(compared.exit_code == 0);
  CHECK_THAT(compared.err, Contains("left out: b: it has not been measured yet"));
}

TEST_CASE("measure and compare: what is no campaign, and options that do not go with one") {
  const test::TemporaryFolder folder;
  fs::create_directories(folder.path() / "empty" / "deep" / "deeper");
  CHECK(analyse({"measure", (folder.path() / "empty").string()}).exit_code == 1);
  CHECK(analyse({"compare", (folder.path() / "empty").string()}).exit_code == 2);
  const std::string campaign = test::put_campaign(folder.path() / "all", test::four_set_ups());
  CHECK_THAT(analyse({"compare", campaign}).err,
             Contains("holds no session that has been measured"));
  CHECK(analyse({"compare", campaign}).exit_code == 1);
  REQUIRE(analyse({"measure", campaign}).exit_code == 0);
  CHECK(analyse({"measure", campaign, "--csv", "-"}).exit_code == 2);
  CHECK(analyse({"measure", campaign, "--exchanges", "x.csv"}).exit_code == 2);
  CHECK(analyse({"compare", campaign, "--clock-link", "none"}).exit_code == 2);
  CHECK(analyse({"compare", campaign, "--sort", "colour"}).exit_code == 2);
  CHECK_THAT(analyse({"compare", campaign, "--where", "colour=red"}).err,
             Contains("there are connection, controller, device, display"));
  CHECK(analyse({"compare", campaign, "--where", "connection=by-post"}).exit_code == 1);
  CHECK(analyse({"compare", campaign, "--where", "connection"}).exit_code == 2);
  CHECK(analyse({"compare", campaign, "--csv", "-", "--out", "-"}).exit_code == 2);
  CHECK(analyse({"compare", campaign, "--csv", campaign + "/a/session.jsonl"}).exit_code == 2);
  CHECK(analyse({"compare", campaign + "/a", campaign + "/b", "--sort", "total"}).exit_code == 0);
  CHECK(analyse({"compare", campaign + "/a", campaign + "/b", "--sort", "render"}).exit_code == 2);
}

TEST_CASE("compare: a campaign's ranks agree with the verdicts of all its pairs") {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), test::full_design(), 12);
  REQUIRE(analyse({"measure", campaign}).exit_code == 0);
  std::vector<std::string> arguments = {"compare", "--out", "-"};
  for (const test::SimulatedSetUp& set_up : test::full_design()) {
    arguments.push_back(campaign + '/' + set_up.folder);
  }
  const json pairs = analyse(arguments).json();
  for (const char* portion : {"total", "remainder", "render"}) {
    CAPTURE(portion);
    std::vector<std::size_t> sooner(pairs["sessions"].size(), 0);
    std::vector<std::size_t> later(pairs["sessions"].size(), 0);
    std::size_t resolved = 0;
    for (const json& pair : pairs["pairs"]) {
      const json& found = pair[std::string(portion) + "_ms"];
      if (found["verdict"]["resolved"] == true) {
        const bool a_sooner = found["difference_ms"].get<double>() < 0;
        const std::size_t a = place(pair["a"]);
        const std::size_t b = place(pair["b"]);
        ++sooner[a_sooner ? b : a];
        ++later[a_sooner ? a : b];
        ++resolved;
      }
    }
    CHECK((std::string(portion) == "render" || (resolved > 0 && resolved < pairs["pairs"].size())));
    const json table = campaign_json(campaign, {"--sort", portion});
    CHECK(table["ranked_by"] == portion);
    for (std::size_t k = 0; k < pairs["sessions"].size(); ++k) {
      const std::string path = pairs["sessions"][k]["path"];
      bool found = false;
      for (const json& set_up : table["set_ups"]) {
        if (set_up["session"] == path) {
          found = true;
          CHECK(set_up["rank"][0] == sooner[k] + 1);
          CHECK(set_up["rank"][1] == pairs["sessions"].size() - later[k]);
        }
      }
      CHECK(found);
    }
  }
}

TEST_CASE("compare: the table of a campaign, sorted and filtered") {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), test::four_set_ups());
  REQUIRE(analyse({"measure", campaign}).exit_code == 0);
  const json table = campaign_json(campaign);
  CHECK(table["format"] == "thumblight-campaign");
  // True totals: 38 for a and c, 48 for b, 64 for d (and half a jitter each).
  CHECK(table["set_ups"][0]["rank"] == json({1, 2}));
  CHECK(table["set_ups"][1]["rank"] == json({1, 2}));
  CHECK(table["set_ups"][2]["rank"] == json({3, 3}));
  CHECK(table["set_ups"][2]["name"] == "wireless, Heron");
  CHECK(table["set_ups"][3]["name"] == "wireless, Stork");
  CHECK(table["set_ups"][0]["total_ms"]["n"] == 40);
  // Causality alone bounds delivery and screen; bounds are no means.
  CHECK(table["set_ups"][0]["delivery_ms"].contains("bounds"));
  CHECK_FALSE(table["set_ups"][0]["delivery_ms"].contains("mean"));
  // The numbers are those of result.json.
  const json result = json::parse(test::get(folder.path() / "b" / "result.json"));
  CHECK(table["set_ups"][2]["total_ms"]["mean"] == result["summary"]["total_ms"]["mean"]);
  CHECK(table["set_ups"][2]["total_ms"]["ci95"] == result["summary"]["total_ms"]["ci95"]);

  CHECK(names(campaign_json(campaign, {"--sort", "connection"}))[3] == "wireless, Stork");
  const json by_controller = campaign_json(campaign, {"--sort", "controller"});
  CHECK(by_controller["set_ups"][1]["labels"]["controller"] == "Heron");
  CHECK(by_controller["set_ups"][2]["labels"]["controller"] == "Stork");
  const json wired = campaign_json(campaign, {"--where", "connection=wired"});
  CHECK(names(wired) == std::vector<std::string>(wired["set_ups"][0]["name"] == "Heron"
                                                     ? std::vector<std::string>{"Heron", "Stork"}
                                                     : std::vector<std::string>{"Stork", "Heron"}));
  CHECK(campaign_json(campaign,
                      {"--where", "connection=wired", "--where", "controller=Heron"})["set_ups"]
            .size() == 1);
}

TEST_CASE("compare: a session that has changed since it was measured is left out") {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), test::four_set_ups());
  REQUIRE(analyse({"measure", campaign}).exit_code == 0);
  test::put_session(folder.path() / "b", test::simulated(test::four_set_ups()[1], 77));
  json spoilt = json::parse(test::get(folder.path() / "c" / "result.json"));
  spoilt["summary"]["total_ms"]["mean"] = "long";
  test::put(folder.path() / "c" / "result.json", spoilt.dump());
  const Answer answer = analyse({"compare", campaign, "--out", "-"});
  CHECK(answer.exit_code == 0);
  CHECK_THAT(answer.err, Contains("left out: b: ") && Contains("has changed since") &&
                             Contains("left out: c: ") && Contains("summary.total_ms.mean"));
  CHECK(answer.json()["set_ups"].size() == 2);
}

TEST_CASE("compare: two sessions as a table for other programs") {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), test::four_set_ups());
  REQUIRE(analyse({"measure", campaign}).exit_code == 0);
  const fs::path csv = folder.path() / "table.csv";
  const fs::path markdown = folder.path() / "table.md";
  const Answer pair = analyse({"compare", campaign + "/a", campaign + "/d", "--csv", csv.string(),
                               "--markdown", markdown.string()});
  REQUIRE(pair.exit_code == 0);
  CHECK_THAT(pair.out, Contains("A less B"));
  // The same lines as of the campaign without the others, which lend nothing here.
  const std::string table = test::get(csv);
  CHECK(std::count(table.begin(), table.end(), '\n') == 3);
  CHECK_THAT(table, Contains("\na,") && Contains("\nd,"));
  CHECK_THAT(test::get(markdown), Contains("| 1 | ") && Contains("| 2 | "));
}

TEST_CASE("compare: a campaign on terminals wide and narrow") {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), test::four_set_ups());
  REQUIRE(analyse({"measure", campaign}).exit_code == 0);
  const std::vector<const char*> argv = {"thumblight-analysis", "compare", campaign.c_str()};
  const auto shown = [&](std::size_t columns, bool colour, bool ascii,
                         std::vector<const char*> further = {}) {
    std::ostringstream out;
    std::ostringstream err;
    std::vector<const char*> words = argv;
    words.insert(words.end(), further.begin(), further.end());
    REQUIRE(commands::run(static_cast<int>(words.size()), words.data(),
                          {out, err, false, false, columns, colour, ascii}) == 0);
    return out.str();
  };
  const std::string wide = shown(80, false, false);
  CHECK(test::widest(wide) <= 80);
  CHECK_THAT(wide, Contains("1-2") && Contains("wireless, Heron") && Contains("█") &&
                       Contains("░ screen") && Contains(" ± "));
  CHECK(wide.find('\x1b') == std::string::npos);
  for (const std::size_t columns : {40U, 50U, 66U, 79U}) {
    CAPTURE(columns);
    CHECK(test::widest(shown(columns, false, false)) <= columns);
  }
  const std::string plain = shown(40, false, true);
  CHECK(test::widest(plain) <= 40);
  CHECK(std::all_of(plain.begin(), plain.end(),
                    [](char c) { return static_cast<unsigned char>(c) < 128; }));
  CHECK_THAT(plain, Contains("+-") && Contains("#") && Contains("?"));
  CHECK(shown(80, false, false, {"--ascii"}) == shown(80, false, true));

  CHECK_THAT(shown(80, true, false), Contains("\x1b[34m█"));
  CHECK(shown(80, true, false, {"--colour", "never"}) == wide);
  CHECK(shown(80, false, false, {"--colour", "always"}) == shown(80, true, false));
}

TEST_CASE("split and measure: every press as a table") {
  const test::TemporaryFolder folder;
  const std::string session =
      test::put_session(folder.path() / "a", test::simulated(test::four_set_ups()[0], 1));
  const fs::path table = folder.path() / "presses.csv";
  REQUIRE(analyse({"measure", session, "--csv", table.string()}).exit_code == 0);
  std::istringstream lines(test::get(table));
  std::string line;
  std::getline(lines, line);
  CHECK_THAT(line,
             Catch::Matchers::StartsWith("press,recorded,logged,total_ms,total_u_ms,delivery_ms,"));
  const json result = json::parse(test::get(fs::path(session) / "result.json"));
  std::size_t rows = 0;
  while (std::getline(lines, line)) {
    std::istringstream cells(line);
    std::string cell;
    for (int k = 0; k < 4; ++k) {
      std::getline(cells, cell, ',');
    }
    CHECK(std::stod(cell) ==
          Approx(result["presses"][rows]["total_ms"].get<double>()).margin(1e-9));
    CHECK(std::count(line.begin(), line.end(), ',') == 18);
    ++rows;
  }
  CHECK(rows == 40);
  const Answer answer = analyse({"split", session, "--csv", "-"});
  CHECK(answer.out == test::get(table));
  CHECK(analyse({"split", session, "--csv", session + "/session.jsonl"}).exit_code == 2);
  CHECK(analyse({"split", session, "--csv", "-", "--out", "-"}).exit_code == 2);
}
