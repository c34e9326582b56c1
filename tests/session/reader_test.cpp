#include "harness/session/reader.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <sstream>

#include "harness/session/error.hpp"
#include "tests/session/sample_log.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;

namespace {

session::Log read(const std::string& text) {
  std::istringstream input(text);
  return session::read_log(input, "evening.jsonl");
}

std::string header_line() {
  return session::encode(test::sample_header()) + '\n';
}

std::string fault_of(const std::string& text) {
  try {
    read(text);
  } catch (const Error& error) {
    return error.what();
  }
  return "no fault";
}

/// Every record that a log holds, as text, in the order of its kinds.
std::vector<std::string> contents(const session::Log& log) {
  std::vector<std::string> lines = {session::encode(log.header)};
  const auto add = [&lines](const auto& records) {
    for (const auto& record : records) {
      lines.push_back(session::encode(record));
    }
  };
  add(log.presses);
  add(log.darks);
  add(log.lamps);
  add(log.exchanges);
  add(log.paces);
  add(log.devices);
  add(log.focuses);
  if (log.end) {
    lines.push_back(session::encode(*log.end));
  }
  return lines;
}

}  // namespace

TEST_CASE("what is written is read back, every record and every digit") {
  std::vector<std::string> written;
  for (const session::Record& record : test::sample_records()) {
    written.push_back(session::encode(record));
  }
  const session::Log log = read(test::sample_text());
  std::vector<std::string> found = contents(log);
  std::sort(written.begin(), written.end());
  std::sort(found.begin(), found.end());
  CHECK(found == written);
  CHECK_FALSE(log.cut);
  CHECK(log.presses.at(0).arrival_ns == 9007199254740993);
  CHECK_FALSE(log.presses.at(1).submit_ns.has_value());
  CHECK(log.presses.at(1).withheld == "rest");
  CHECK_FALSE(log.paces.at(1).missed.has_value());
}

TEST_CASE("a log cut at any byte gives its whole records and no more") {
  const std::string text = test::sample_text();
  const std::size_t header_length = header_line().size();
  std::size_t most = 0;
  for (std::size_t length = 0; length <= text.size(); ++length) {
    INFO("cut after " << length << " bytes");
    const std::string piece = text.substr(0, length);
    if (length < header_length) {
      CHECK_THAT(fault_of(piece), Contains("no complete 'session' record"));
      continue;
    }
    const session::Log log = read(piece);
    const auto whole_lines = static_cast<std::size_t>(std::count(piece.begin(), piece.end(), '\n'));
    CHECK(contents(log).size() == whole_lines);
    CHECK(log.cut == (piece.back() != '\n'));
    CHECK(contents(log).size() >= most);
    most = contents(log).size();
  }
  CHECK(most == test::sample_records().size());
}

TEST_CASE("unknown records and keys are passed over") {
  const session::Log log =
      read(header_line() +
           R"({"record":"weather","sky":"clear"})"
           "\n"
           R"({"record":"press","index":0,"arrival_ns":1,"submit_ns":2,"flashed":true,"mood":[1]})"
           "\n");
  CHECK(log.presses.size() == 1);
  CHECK(contents(log).size() == 2);
}

TEST_CASE("a fault names file, line and key") {
  const std::string header = header_line();
  CHECK_THAT(fault_of(header + R"({"record":"press","index":0,"flashed":false})"
                               "\n"),
             Contains("evening.jsonl, line 2") && Contains("'arrival_ns' is missing"));
  CHECK_THAT(fault_of(header + R"({"record":"press","index":0,"arrival_ns":1.5,"flashed":false})"
                               "\n"),
             Contains("line 2") && Contains("'arrival_ns' must be a whole number"));
  CHECK_THAT(fault_of(header + R"({"record":"press","index":0,"arrival_ns":18446744073709551615})"
                               "\n"),
             Contains("'arrival_ns' must be a whole number"));
  CHECK_THAT(fault_of(header + R"({"record":"press","index":0,"arrival_ns":9,"flashed":true})"
                               "\n"),
             Contains("press 0 flashed, but its 'submit_ns' is missing"));
  CHECK_THAT(fault_of(header +
                      R"({"record":"press","index":3,"arrival_ns":9,"submit_ns":8,"flashed":true})"
                      "\n"),
             Contains("press 3") && Contains("before its 'arrival_ns'"));
  CHECK_THAT(fault_of(header + "\n\nnonsense\n"), Contains("line 4") && Contains("not a JSON"));
  CHECK_THAT(fault_of(header + "[1,2]\n"), Contains("not a JSON object"));
  CHECK_THAT(fault_of(header + header), Contains("line 2") && Contains("second 'session'"));
  CHECK_THAT(fault_of(R"({"record":"press"})"
                      "\n"),
             Contains("first record must be 'session'"));
  CHECK_THAT(fault_of(""), Contains("no complete 'session' record"));
}

TEST_CASE("another format and a newer version are refused") {
  auto header = nlohmann::json::parse(header_line());
  header["version"] = 2;
  CHECK_THAT(fault_of(header.dump() + "\n"),
             Contains("version 2") && Contains("up to version 1") && Contains("update"));
  header["version"] = 1;
  header["format"] = "shopping-list";
  CHECK_THAT(fault_of(header.dump() + "\n"), Contains("no session log"));
}

TEST_CASE("hostile lines end in a named fault") {
  CHECK_THAT(fault_of(header_line() + std::string((1 << 20) + 1, 'x')),
             Contains("longer than 1 MiB"));
  const std::string deep = std::string(300000, '[');
  CHECK_THAT(fault_of(header_line() + deep + "\n"), Contains("not a JSON object"));
  const std::string nested = R"({"record":"weather","deep":)" + std::string(100000, '[') +
                             std::string(100000, ']') + "}\n";
  CHECK(read(header_line() + nested).presses.empty());
  CHECK_THAT(fault_of(std::string("\xff\xfe\x00\x01\n", 5)), Contains("not a JSON object"));
}
