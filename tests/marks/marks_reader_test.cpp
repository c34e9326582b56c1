#include "analysis/marks/marks_reader.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <string>

#include "analysis/marks/mark_set.hpp"
#include "analysis/marks/merge.hpp"
#include "harness/session/error.hpp"
#include "tests/marks/made_marks.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::marks;
using Catch::Matchers::Contains;

namespace {

const std::string kHeader = R"({"record":"marks","format":"thumblight-marks","version":1})";

std::vector<Entry> sample() {
  LeaveOut out{{3, 4.0}, "blurred \xE2\x80\x94 \"hand\"\n in the way"};
  return test::entries({test::mark(0, What::kPress, 1.0), test::mark(1, What::kLight, 2.05, 2), out,
                        TakeIn{{3, 4.0}}, DraggedRegion{"patch", {10, 20.5, 30, 40}}, Undo{5},
                        Undo{6}});
}

MarkLog read(const std::string& lines) {
  return read_marks(kHeader + '\n' + lines + '\n', "marks.jsonl");
}

}  // namespace

TEST_CASE("marks are read as they were written") {
  const std::vector<Entry> list = sample();
  const MarkLog log = read_marks(test::file_of(list), "marks.jsonl");
  REQUIRE(log.entries.size() == list.size());
  CHECK_FALSE(log.cut);
  CHECK_FALSE(log.open_end);
  for (std::size_t k = 0; k < list.size(); ++k) {
    CHECK(encode(log.entries[k]) == encode(list[k]));
  }
  const Mark& mark = std::get<Mark>(log.entries[1].action);
  CHECK(mark.what == What::kLight);
  CHECK(mark.pass == 2);
  CHECK(mark.t_s == 2.05);
}

TEST_CASE("a file of marks cut at any byte gives the records before the cut, and tells of it") {
  const std::string whole = test::file_of(sample());
  std::size_t before = 0;
  for (std::size_t length = 0; length <= whole.size(); ++length) {
    const std::string text = whole.substr(0, length);
    INFO(length);
    const MarkLog log = read_marks(text, "marks.jsonl");
    CHECK(log.entries.size() >= before);
    CHECK(log.whole_bytes <= length);
    const bool ends_whole = length == 0 || text.back() == '\n' || text.back() == '}';
    CHECK(log.cut == !ends_whole);
    before = log.entries.size();
    const onset::Timings found = test::found_timings();
    CHECK_NOTHROW(with_marks(found, MarkSet(log.entries, found)));
  }
  CHECK(before == sample().size());
}

TEST_CASE("every byte of a file of marks may be another: a fault is a sentence, never more") {
  const std::string whole = test::file_of(sample());
  const onset::Timings found = test::found_timings();
  for (std::size_t at = 0; at < whole.size(); ++at) {
    for (const char other : {'\0', '"', '9', '-', '\xFF', '}'}) {
      std::string text = whole;
      text[at] = other;
      try {
        const MarkLog log = read_marks(text, "marks.jsonl");
        CHECK(log.entries.size() <= sample().size());
        with_marks(found, MarkSet(log.entries, found));
      } catch (const Error& error) {
        CHECK_THAT(error.what(), Contains("marks"));
      }
    }
  }
}

TEST_CASE("what is no mark is refused with its line and key") {
  const std::string mark = R"("id":1,"record":"mark","index":0,"what":"press","t_s":1,"u_s":0.001)";
  CHECK(read("{" + mark + "}").entries.size() == 1);
  const auto refuses = [](const std::string& line, const std::string& says) {
    INFO(line);
    CHECK_THROWS_WITH(read(line), Contains("marks.jsonl, line 2") && Contains(says));
  };
  refuses("{" + mark + R"(,"t_s":"soon"})", "'t_s' must be a number");
  refuses("{" + mark + R"(,"t_s":NaN})", "not a JSON object");
  refuses("{" + mark + R"(,"t_s":1e999})", "not a JSON object");
  refuses("{" + mark + R"(,"t_s":1e10})", "'t_s' must be a time of at most");
  refuses("{" + mark + R"(,"u_s":-1})", "'u_s' must be a number from 0");
  refuses("{" + mark + R"(,"index":1000000001})", "'index' must be a whole number from 0 to");
  refuses("{" + mark + R"(,"index":99999999999999999999})", "'index'");
  refuses("{" + mark + R"(,"index":-1})", "'index'");
  refuses("{" + mark + R"(,"index":1.5})", "'index'");
  refuses("{" + mark + R"(,"what":"lamp"})", "'what' must be press or light");
  refuses("{" + mark + R"(,"pass":0})", "'pass' must be a whole number from 1");
  refuses("{" + mark + R"(,"pass":1001})", "'pass'");
  refuses("{" + mark + R"(,"frame":-1})", "'frame'");
  refuses("{" + mark + R"(,"near_s":[1]})", "'near_s'");
  refuses(R"({"record":"mark","index":0})", "'what' is missing");
  refuses(R"({"id":1,"record":"undo","of":1})", "'of' must be the id of an earlier record");
  refuses(R"({"id":1,"record":"region","name":"sky","x":0,"y":0,"w":1,"h":1})",
          "patch, press, change");
  refuses(R"({"id":1,"record":"region","name":"patch","x":0,"y":0,"w":0,"h":1})", "'w'");
  refuses(R"({"id":1,"record":"leave-out","index":0,"reason":7})", "'reason' must be a text");
  refuses(R"({"index":0})", "'record' is missing");
  refuses("[]", "not a JSON object");
  refuses(kHeader, "a second time");
  CHECK_THROWS_WITH(read("{" + mark + "}\n{" + mark + "}"), Contains("line 3") && Contains("'id'"));
  refuses(std::string(70'000, 'x'), "longer than 64 KiB");
  refuses(std::string(60'000, '['), "not a JSON object");
}

TEST_CASE("only a file of marks of a version that is known is read") {
  CHECK_THROWS_WITH(
      read_marks(R"({"record":"marks","format":"thumblight-marks","version":2})", "marks.jsonl"),
      Contains("up to version 1"));
  CHECK_THROWS_WITH(read_marks(R"({"record":"marks","format":"other","version":1})", "marks.jsonl"),
                    Contains("holds something else"));
  CHECK_THROWS_WITH(read_marks(R"({"record":"session"})", "marks.jsonl"),
                    Contains("first line must be 'marks'"));
  CHECK_THROWS_WITH(read_marks("RIFFxxxx\n", "marks.jsonl"), Contains("not a JSON object"));
}

TEST_CASE("kinds of records and keys that are not known are passed over") {
  const MarkLog log = read(R"({"id":1,"record":"note","text":"x"}
{"id":2,"record":"take-in","index":4,"colour":"red"})");
  REQUIRE(log.entries.size() == 1);
  CHECK(log.entries[0].id == 2);
}

TEST_CASE("no file, and a folder in its place") {
  const test::TemporaryFolder folder;
  CHECK(read_marks(folder.path() / "marks.jsonl").entries.empty());
  CHECK_THROWS_WITH(read_marks(folder.path()), Contains("cannot be read as marks"));
  std::ofstream(folder.path() / "marks.jsonl") << "";
  CHECK(read_marks(folder.path() / "marks.jsonl").entries.empty());
}
