#include <catch2/catch.hpp>
#include <filesystem>

#include "analysis/report/campaign_tables.hpp"
#include "analysis/report/csv.hpp"
#include "analysis/report/numbers.hpp"
#include "tests/analysis/campaign_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using report::csv_text;
using report::markdown_text;
using report::printable;
using test::analyse;
using test::Answer;
namespace fs = std::filesystem;

namespace {

const std::vector<std::string>& hostile_names() {
  static const std::vector<std::string> names = {
      "<script>alert(1)</script>",
      "=HYPERLINK(\"x\")",
      " +1+cmd|' /C calc'!A0",
      "-2+3",
      "@SUM(A1)",
      "\xEF\xBC\x9D+1",  // a full-width equals sign
      "a \"quoted\" name, with a comma; and more",
      "two\nlines\r\n=1+1",
      "tab\tand\x1b[2J\x1b]0;title\x07",
      "C1 \xC2\x9B[31m and \xC2\x9D",       // control characters beyond ASCII
      "\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D",   // right to left
      "\xE2\x80\xAEgnp.exe\xE2\x81\xA6",    // turns the direction of writing
      "\xF0\x9F\x8E\xAE \xF0\xA0\x80\x80",  // four bytes each
      "| pipe | `code` *bold* [link](x) &amp; ![i](y) https://example.org",
      "\xff\xc0\x80\xed\xa0\x80 broken",
  };
  return names;
}

std::string put_hostile(const fs::path& folder) {
  std::vector<test::SimulatedSetUp> set_ups;
  for (const std::string& name : hostile_names()) {
    test::SimulatedSetUp set_up;
    // A log holds valid UTF-8 alone; what is none comes into file names.
    set_up.controller = name.starts_with('\xff') ? "plain" : name;
    set_up.folder = name;
    std::replace(set_up.folder.begin(), set_up.folder.end(), '/', '_');
    set_ups.push_back(set_up);
  }
  return test::put_campaign(folder, set_ups, 8);
}

/// Rows of cells after RFC 4180.
std::vector<std::vector<std::string>> parse_csv(const std::string& text) {
  std::vector<std::vector<std::string>> rows = {{""}};
  bool quoted = false;
  for (std::size_t k = 0; k < text.size(); ++k) {
    const char c = text[k];
    if (quoted && c == '"' && k + 1 < text.size() && text[k + 1] == '"') {
      rows.back().back() += c;
      ++k;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (!quoted && c == ',') {
      rows.back().emplace_back();
    } else if (!quoted && c == '\n') {
      rows.push_back({""});
    } else {
      rows.back().back() += c;
    }
  }
  rows.pop_back();
  return rows;
}

bool has_controls(const std::string& text) {
  return printable(text) != text;
}

bool is_formula(const std::string& cell) {
  const std::size_t first = cell.find_first_not_of(' ');
  return first != std::string::npos && (std::string("=+@").find(cell[first]) != std::string::npos ||
                                        cell.compare(first, 3, "\xEF\xBC\x9D") == 0);
}

}  // namespace

TEST_CASE("Names: what steers a terminal is shown as a question mark") {
  CHECK(printable("plain, h\xC3\xA9ron \xF0\x9F\x8E\xAE") ==
        "plain, h\xC3\xA9ron \xF0\x9F\x8E\xAE");
  CHECK(printable("a\x1b[2J\n\t\x7f") == "a?[2J???");
  CHECK(printable("\xC2\x9B[31m") == "?[31m");
  CHECK(printable("\xE2\x80\xAEx") == "?x");
  CHECK(printable("\xE2\x81\xA7x\xE2\x80\xA8") == "?x?");
  CHECK(printable("\xff\xfe") == "??");
  CHECK(printable("\xC0\x80") == "??");            // a longer form than need be
  CHECK(printable("\xED\xA0\x80") == "???");       // half of a surrogate pair
  CHECK(printable("\xF4\x90\x80\x80") == "????");  // beyond the last code
  CHECK(printable("cut \xF0\x9F\x8E") == "cut ???");
  CHECK(printable(std::string("nil\0l", 5)) == "nil?l");
  CHECK(printable("").empty());
}

TEST_CASE("Names: cells of CSV cannot become formulas nor leave their cell") {
  CHECK(csv_text("plain") == "plain");
  CHECK(csv_text("=HYPERLINK(\"x\")") == "\"'=HYPERLINK(\"\"x\"\")\"");
  CHECK(csv_text("+1") == "\"'+1\"");
  CHECK(csv_text("-1") == "\"'-1\"");
  CHECK(csv_text("@x") == "\"'@x\"");
  CHECK(csv_text("  =1") == "\"'  =1\"");
  CHECK(csv_text("\t=1") == "?=1");
  CHECK(csv_text("a,b") == "\"a,b\"");
  CHECK(csv_text("a\nb") == "a?b");
  CHECK(csv_text("").empty());
}

TEST_CASE("Names: Markdown takes them for text") {
  CHECK(markdown_text("plain name 7.5") == "plain name 7.5");
  CHECK(markdown_text("<script>") == "&lt;script&gt;");
  CHECK(markdown_text("a|b`c*d_e") == "a\\|b\\`c\\*d\\_e");
  CHECK(markdown_text("[x](y)") == "\\[x\\]\\(y\\)");
  CHECK(markdown_text("&lt;") == "&amp;lt;");
  CHECK(markdown_text("a\nb\\") == "a?b\\\\");
}

TEST_CASE("Names: a campaign of hostile names does no harm in any table") {
  const test::TemporaryFolder folder;
  const std::string campaign = put_hostile(folder.path());
  test::put(folder.path() / "-2+3" / "setup.json",
            R"({"labels":{"=cmd|' /C calc'!A0,\"\n":"=1","\u001b[2J":"x"}})");
  const Answer measured = analyse({"measure", campaign});
  CHECK(measured.exit_code == 0);
  std::string shown = measured.out;
  std::erase(shown, '\n');
  CHECK_FALSE(has_controls(shown));

  const Answer csv = analyse({"compare", campaign, "--csv", "-"});
  REQUIRE(csv.exit_code == 0);
  const auto rows = parse_csv(csv.out);
  REQUIRE(rows.size() == hostile_names().size() + 1);
  for (const auto& row : rows) {
    CHECK(row.size() == rows.front().size());
    for (const std::string& cell : row) {
      CAPTURE(cell);
      CHECK_FALSE(has_controls(cell));
      CHECK_FALSE(is_formula(cell));
    }
  }
  CHECK_THAT(csv.out, Contains("\"'=HYPERLINK(\"\"x\"\")\""));
  CHECK_THAT(csv.out, Contains("\xF0\x9F\x8E\xAE"));

  const Answer markdown = analyse({"compare", campaign, "--markdown", "-"});
  REQUIRE(markdown.exit_code == 0);
  CHECK(markdown.out.find("<script") == std::string::npos);
  std::istringstream lines(markdown.out);
  std::size_t table_lines = 0;
  for (std::string line; std::getline(lines, line) && line.starts_with('|'); ++table_lines) {
    CHECK_FALSE(has_controls(line));
    std::size_t bars = 0;
    for (std::size_t k = 0; k < line.size(); ++k) {
      bars += line[k] == '|' && (k == 0 || line[k - 1] != '\\') ? 1 : 0;
    }
    CHECK(bars == 8);
  }
  CHECK(table_lines == hostile_names().size() + 2);

  const Answer terminal = analyse({"compare", campaign});
  REQUIRE(terminal.exit_code == 0);
  std::string text = terminal.out + terminal.err;
  std::erase(text, '\n');
  CHECK_FALSE(has_controls(text));

  const auto document = analyse({"compare", campaign, "--out", "-"}).json();
  CHECK(document["set_ups"].size() == hostile_names().size());
}

TEST_CASE("Names: faults of hostile folders are told in one harmless line") {
  const test::TemporaryFolder folder;
  const std::string name = "\x1b[31m\nfake: all is well";
  const Answer answer = analyse({"measure", (folder.path() / name).string()});
  CHECK(answer.exit_code == 1);
  CHECK(std::count(answer.err.begin(), answer.err.end(), '\n') == 1);
  CHECK(answer.err.find('\x1b') == std::string::npos);
  CHECK_THAT(analyse({"label", folder.path().string(), "=\x1b[2J"}).err, !Contains("\x1b"));
}
