#include "analysis/onset/timings_reader.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "analysis/onset/timings_writer.hpp"
#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using onset::read_timings;
using onset::Timings;

namespace {

Timings read(const std::string& text, std::optional<double> rate_hz = std::nullopt) {
  return read_timings(std::string_view(text), "marks", rate_hz);
}

/// What the reader says of a text that it must refuse.
std::string fault_of(const std::string& text, std::optional<double> rate_hz = std::nullopt) {
  try {
    read(text, rate_hz);
  } catch (const Error& error) {
    return error.what();
  }
  return "no fault";
}

constexpr char kTable[] =
    "# marked by hand\n"
    "press_s,light_s,lamp_s,press_u_s,light_u_s\n"
    "2.41,2.43,2.4205,0.0004,0.0002\n"
    "3.5,,,0.0004,\n"
    ",4.52,,,0.0002\n"
    "5.125,5.15,5.14,,\n";

constexpr char kJson[] = R"({"format":"thumblight-timings","version":1,
 "recording":{"file":"camera.mp4","kind":"video","clock":{"source":"stamps","rate_hz":239.76,"nominal_hz":240.0,"later":[1]}},
 "presses":[
  {"index":0,"press":{"t_s":2.41,"u_s":0.0004,"how":"lamp","frame":578},"light":{"t_s":2.43,"u_s":0.0002,"how":"step","frame":583,"t50_s":2.432,"t90_s":2.436},"lamp":null,"flags":["wide"],"colour":{"of":"key"}},
  {"index":3,"press":null,"light":{"t_s":3.5,"u_s":null,"how":null,"frame":null},"flags":[]}],
 "warnings":[{"code":"dropped-frames","text":"two","remedy":null}],"extra":null}
)";

void check_same(const std::optional<onset::Instant>& a, const std::optional<onset::Instant>& b) {
  REQUIRE(a.has_value() == b.has_value());
  if (a) {
    CHECK(a->t_s == b->t_s);
    CHECK(a->u_s == b->u_s);
    CHECK(a->how == b->how);
    CHECK(a->frame == b->frame);
    CHECK(a->t50_s == b->t50_s);
    CHECK(a->t90_s == b->t90_s);
  }
}

void check_same(const Timings& a, const Timings& b) {
  REQUIRE(a.presses.size() == b.presses.size());
  for (std::size_t k = 0; k < a.presses.size(); ++k) {
    INFO("row " << k);
    CHECK(a.presses[k].index == b.presses[k].index);
    check_same(a.presses[k].press, b.presses[k].press);
    check_same(a.presses[k].light, b.presses[k].light);
    check_same(a.presses[k].lamp, b.presses[k].lamp);
    CHECK(a.presses[k].flags == b.presses[k].flags);
  }
}

/// `head` with `old_text` replaced, once.
std::string with(std::string text, const std::string& old_text, const std::string& new_text) {
  const std::size_t at = text.find(old_text);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old_text.size(), new_text);
}

}  // namespace

TEST_CASE("a table in seconds is read, with empty cells for what was not seen") {
  const Timings timings = read(kTable);
  REQUIRE(timings.presses.size() == 4);
  CHECK(timings.warnings.empty());
  CHECK(timings.recording.kind == "table");
  CHECK(timings.recording.clock.source == "stated");
  CHECK(timings.presses[0].press->t_s == 2.41);
  CHECK(timings.presses[0].press->u_s == 0.0004);
  CHECK(timings.presses[0].press->how == "mark");
  CHECK(timings.presses[0].light->u_s == 0.0002);
  CHECK(timings.presses[0].lamp->t_s == 2.4205);
  CHECK_FALSE(timings.presses[0].lamp->u_s);
  CHECK_FALSE(timings.presses[2].press);
  CHECK(timings.presses[2].light->t_s == 4.52);
  CHECK_FALSE(timings.presses[3].press->u_s);
  CHECK(timings.presses[3].index == 3);
}

TEST_CASE("an uncertainty without its instant is refused") {
  CHECK(fault_of("press_s,light_s,light_u_s\n1,2,0.1\n3,,0.1\n") ==
        "marks, line 3: there is an uncertainty, but no instant of the light");
}

TEST_CASE("byte order mark, CRLF, spaces, blank lines and remarks change nothing") {
  const Timings plain = read("press_s,light_s\n1.5,1.75\n2.5,2.75\n");
  check_same(plain, read("\xEF\xBB\xBFpress_s,light_s\r\n1.5,1.75\r\n2.5,2.75\r\n"));
  check_same(plain, read("\n# a remark\n press_s , light_s \n\n  1.5 ,\t1.75\n#\n+2.5,2.75\n\n"));
  const Timings open = read("press_s,light_s\n1.5,1.75\n2.5,2.75");
  check_same(plain, open);
  REQUIRE(open.warnings.size() == 1);
  CHECK(open.warnings[0].code == "table-end-open");
}

TEST_CASE("a frame is an instant with the uncertainty of a rectangle one frame wide") {
  const double rate_hz = GENERATE(30.0, 240.0, 959.04);
  const Timings timings = read("press_frame,light_frame\n578,583\n", rate_hz);
  REQUIRE(timings.presses.size() == 1);
  const onset::Instant& press = *timings.presses[0].press;
  const onset::Instant& light = *timings.presses[0].light;
  CHECK(press.t_s == Approx(578 / rate_hz).epsilon(1e-15));
  CHECK(press.frame == 578);
  CHECK(timings.recording.clock.source == "capture-rate");
  CHECK(timings.recording.clock.nominal_hz == rate_hz);
  // Rectangular over one frame T: T/sqrt(12), JCGM 100:2008, 4.3.7 (quoted from memory).
  const double frame_s = 1 / rate_hz;
  CHECK(*press.u_s == Approx(frame_s * 0.28867513459481287).epsilon(1e-12));
  // The difference of two such instants is triangular on (-T, T) with variance T^2/6: SD 0.408248
  // T, 1.70103 ms at 240 images a second (computed, and confirmed by 2e6 simulated intervals).
  CHECK(std::hypot(*press.u_s, *light.u_s) == Approx(frame_s * 0.408248).epsilon(1e-6));
  if (rate_hz == 240.0) {
    CHECK(std::hypot(*press.u_s, *light.u_s) == Approx(1.70103e-3).epsilon(1e-5));
  }
}

TEST_CASE("twice the rate and twice the frames are the same instants") {
  const Timings slow = read("press_frame,light_frame\n100,107\n200,209\n", 120.0);
  const Timings fast = read("press_frame,light_frame\n200,214\n400,418\n", 240.0);
  for (std::size_t k = 0; k < 2; ++k) {
    CHECK(slow.presses[k].press->t_s == Approx(fast.presses[k].press->t_s));
    CHECK(slow.presses[k].light->t_s == Approx(fast.presses[k].light->t_s));
  }
}

TEST_CASE("a stated uncertainty stands before that of the frame") {
  const Timings timings = read("press_frame,light_frame,press_u_s\n5,9,0.001\n", 240.0);
  CHECK(timings.presses[0].press->u_s == 0.001);
  CHECK(timings.presses[0].light->u_s == Approx(1 / 240.0 / std::sqrt(12.0)));
}

TEST_CASE("frames without a rate, or with an impossible one, are refused") {
  CHECK(fault_of("press_frame,light_frame\n1,2\n") ==
        "marks, line 1: frames need the rate at which they were captured; state it with "
        "--capture-rate");
  for (const double rate_hz : {0.0, -240.0, std::nan(""), HUGE_VAL}) {
    CHECK_THAT(fault_of("press_frame,light_frame\n1,2\n", rate_hz),
               Catch::Contains("capture rate must be"));
  }
}

TEST_CASE("a fault in a table is told with file and line") {
  struct Fault {
    std::string text;
    std::string said;
  };
  const auto fault = GENERATE(values<Fault>({
      {"press_s,light_s\n1,2\nnan,3\n", "marks, line 3: 'nan' is not a time"},
      {"press_s,light_s\n1,inf\n", "marks, line 2: 'inf' is not a time"},
      {"press_s,light_s\n1,-inf\n", "marks, line 2: '-inf' is not a time"},
      {"press_s,light_s\n1,1e999\n", "marks, line 2: '1e999' is not"},
      {"press_s,light_s\n1,9.1e9\n", "marks, line 2: '9.1e9' is not a time"},
      {"press_s,light_s\n1,2,3\n", "marks, line 2: 3 columns where the header has 2"},
      {"press_s,light_s\n# remark\n1\n", "marks, line 3: 1 columns where the header has 2"},
      {"press_s,light_s\n1,2 ms\n", "marks, line 2: '2 ms' is not a number of seconds"},
      {"press_s,light_s\n1,0x10\n", "marks, line 2: '0x10' is not a number of seconds"},
      {"press_s,light_s\n1,+-2\n", "marks, line 2: '+-2' is not a number of seconds"},
      {"press_s,light_s\n1,+\n", "marks, line 2: '+' is not a number of seconds"},
      {"press_s,light_s,press_u_s\n1,2,-0.1\n",
       "marks, line 2: the uncertainty '-0.1' is negative"},
      {"press_s,light_s,press_u_s\n1,2,nan\n", "marks, line 2: 'nan' is not"},
      {"press_s,glow_s\n1,2\n", "marks, line 1: unknown column 'glow_s'"},
      {"press_s,light_s,\n1,2,\n", "marks, line 1: unknown column ''"},
      {"press_s,press_s\n1,2\n", "marks, line 1: the column 'press_s' is there twice"},
      {"press_s\n1\n", "marks, line 1: the column light_s or light_frame is missing"},
      {"press_s,light_s,lamp_u_s\n1,2,3\n", "marks, line 1: the column lamp_s or lamp_frame"},
      {"press_s;light_s\n1,2;3\n", "marks, line 1: columns must be separated by commas"},
      {"press_s,light_frame\n1,2\n", "marks, line 1: seconds and frames cannot be mixed"},
      {"1,2\n3,4\n", "marks, line 1: unknown column '1'"},
      {"press_s,light_s\n2,3\n1,4\n", "marks, line 3: the press is earlier"},
      {"press_s,light_s\n1,3\n2,2.5\n", "marks, line 3: the light is earlier"},
      {"", "marks: the file is empty"},
      {" \n\t\r\n", "marks: the file is empty"},
      {"# nothing\n", "marks: there is no header"},
      {"press_s,light_s\n1," + std::string(5000, '2') + "\n", "marks, line 2: the line is longer"},
  }));
  INFO(fault.text.substr(0, 60));
  CHECK_THAT(fault_of(fault.text, 240.0), Catch::StartsWith(fault.said));
}

TEST_CASE("a frame that cannot be is told with file and line") {
  CHECK_THAT(fault_of("press_frame,light_frame\n-1,2\n", 240.0),
             Catch::StartsWith("marks, line 2: the frame '-1' cannot be"));
  CHECK_THAT(fault_of("press_frame,light_frame\n1,2.5\n", 240.0),
             Catch::StartsWith("marks, line 2: '2.5' is not a whole number of frames"));
  CHECK_THAT(fault_of("press_frame,light_frame\n1,99999999999999999999\n", 240.0),
             Catch::StartsWith("marks, line 2: '99999999999999999999' is not a whole number"));
  CHECK_THAT(fault_of("press_frame,light_frame\n1,9000000000000000000\n", 240.0),
             Catch::StartsWith("marks, line 2: the frame '9000000000000000000' cannot be"));
}

TEST_CASE("a header without rows is a table without presses") {
  CHECK(read("press_s,light_s\n").presses.empty());
}

TEST_CASE("timings.json is read; null is unknown, and unknown keys are passed over") {
  const Timings timings = read(kJson);
  CHECK(timings.recording.file == "camera.mp4");
  CHECK(timings.recording.clock.rate_hz == 239.76);
  REQUIRE(timings.presses.size() == 2);
  CHECK(timings.presses[0].press->frame == 578);
  CHECK(timings.presses[0].light->t90_s == 2.436);
  CHECK(timings.presses[0].flags == std::vector<std::string>{"wide"});
  CHECK_FALSE(timings.presses[0].lamp);
  CHECK(timings.presses[1].index == 3);
  CHECK_FALSE(timings.presses[1].press);
  CHECK_FALSE(timings.presses[1].light->u_s);
  CHECK(timings.presses[1].light->how.empty());
  CHECK_FALSE(timings.presses[1].light->frame);
  REQUIRE(timings.warnings.size() == 1);
  CHECK(timings.warnings[0].code == "dropped-frames");
}

TEST_CASE("a fault in timings.json is told with file and key") {
  struct Fault {
    const char* old_text;
    const char* new_text;
    const char* said;
  };
  const auto fault = GENERATE(values<Fault>({
      {"\"version\":1", "\"version\":2", "marks: the timings have version 2"},
      {"\"version\":1", "\"version\":\"1\"", "marks: the key 'version' must be a whole number"},
      {"\"version\":1,", "", "marks: the key 'version' is missing"},
      {"thumblight-timings", "thumblight-result", "marks: the key 'format' must be"},
      {"\"t_s\":2.41", "\"t_s\":NaN", "marks, line 4: not valid JSON"},
      {"\"t_s\":2.41", "\"t_s\":1e999", "marks"},
      {"\"t_s\":2.41", "\"t_s\":1e10", "marks: the key 'presses[0].press.t_s' must be a time"},
      {"\"t_s\":2.41", "\"t_s\":\"2.41\"",
       "marks: the key 'presses[0].press.t_s' must be a number; found \"2.41\""},
      {"\"t_s\":2.41,", "", "marks: the key 'presses[0].press.t_s' is missing"},
      {"\"t_s\":2.41", "\"t_s\":null", "marks: the key 'presses[0].press.t_s' is missing"},
      {"\"u_s\":0.0004", "\"u_s\":-1", "marks: the key 'presses[0].press.u_s' must be a number"},
      {"\"frame\":578", "\"frame\":1.5", "marks: the key 'presses[0].press.frame' must be a whole"},
      {"\"frame\":578", "\"frame\":18446744073709551615",
       "marks: the key 'presses[0].press.frame' must be a whole"},
      {"\"index\":3", "\"index\":0", "marks: the key 'presses[1].index' must be greater"},
      {"\"t_s\":3.5", "\"t_s\":2.3", "marks: the key 'presses[1].light.t_s' is earlier"},
      {"\"flags\":[\"wide\"]", "\"flags\":[3]", "marks: the key 'presses[0].flags[0]' must be"},
      {"\"rate_hz\":239.76", "\"rate_hz\":0", "marks: the key 'recording.clock.rate_hz' must be"},
      {"{\"t_s\":2.41,\"u_s\":0.0004,\"how\":\"lamp\",\"frame\":578}", "7",
       "marks: the key 'presses[0].press' must be an object; found 7"},
  }));
  INFO(fault.new_text);
  CHECK_THAT(fault_of(with(kJson, fault.old_text, fault.new_text)), Catch::StartsWith(fault.said));
}

TEST_CASE("deep nesting is refused or passed over without a crash") {
  const std::string deep = std::string(200000, '[') + std::string(200000, ']');
  CHECK_NOTHROW(read(with(kJson, "\"extra\":null", "\"extra\":" + deep)));
  CHECK_THAT(fault_of(with(kJson, "\"t_s\":2.41", "\"t_s\":" + deep)),
             Catch::EndsWith("found a list"));
  CHECK_THAT(fault_of("{\"a\":" + std::string(200000, '[')), Catch::StartsWith("marks, line 1"));
}

TEST_CASE("timings.json cut at any byte is refused") {
  const std::string text = kJson;
  for (std::size_t length = 0; length < text.find_last_of('}'); ++length) {
    INFO(length << " bytes");
    CHECK_THROWS_AS(read(text.substr(0, length)), Error);
  }
}

TEST_CASE("a table cut at any byte is refused, or a subset that warns of its open end") {
  const std::string text = kTable;
  const Timings whole = read(text);
  for (std::size_t length = 0; length < text.size(); ++length) {
    INFO(length << " bytes");
    std::optional<Timings> cut;
    try {
      cut = read(text.substr(0, length));
    } catch (const Error&) {
      continue;
    }
    CHECK(cut->presses.size() <= whole.presses.size());
    const bool is_open = length > 0 && text[length - 1] != '\n' && !cut->presses.empty();
    CHECK(cut->warnings.empty() == !is_open);
    const std::size_t complete = cut->presses.size() - (is_open ? 1 : 0);
    for (std::size_t k = 0; k < complete; ++k) {
      check_same(cut->presses[k].press, whole.presses[k].press);
      check_same(cut->presses[k].light, whole.presses[k].light);
      check_same(cut->presses[k].lamp, whole.presses[k].lamp);
    }
  }
}

TEST_CASE("bytes changed at random give timings or an Error, nothing else") {
  for (const std::string& text : {std::string(kJson), std::string(kTable)}) {
    for (std::size_t at = 0; at < text.size(); ++at) {
      for (const char byte : {'\0', '"', '-', '9', ',', '\n', '\xff', '{', 'e'}) {
        std::string changed = text;
        changed[at] = byte;
        INFO("byte " << at << " is " << static_cast<int>(byte));
        std::size_t count = 0;
        try {
          count = read(changed, 240.0).presses.size();
        } catch (const Error& error) {
          CHECK_THAT(error.what(), Catch::StartsWith("marks"));
        }
        CHECK(count <= 5);
      }
    }
  }
}

TEST_CASE("what is written reads back the same") {
  const Timings timings = read(kJson);
  const Timings again = read(onset::encode_timings_json(timings));
  check_same(timings, again);
  CHECK(again.recording.file == timings.recording.file);
  CHECK(again.recording.kind == timings.recording.kind);
  CHECK(again.recording.clock.source == timings.recording.clock.source);
  CHECK(again.recording.clock.rate_hz == timings.recording.clock.rate_hz);
  CHECK(again.recording.clock.nominal_hz == timings.recording.clock.nominal_hz);
  REQUIRE(again.warnings.size() == 1);
  CHECK(again.warnings[0].text == "two");
  CHECK(again.warnings[0].remedy.empty());
}

TEST_CASE("a table that is written reads back the same") {
  const Timings timings = read(kTable);
  check_same(timings, read(onset::encode_timings_table(timings)));
  check_same(timings, read(onset::encode_timings_json(timings)));
}

TEST_CASE("no presses are written and read back as none") {
  CHECK(read(onset::encode_timings_json({})).presses.empty());
  CHECK(read(onset::encode_timings_table({})).presses.empty());
}

TEST_CASE("awkward numbers and texts survive writing") {
  Timings timings = read("press_s,light_s\n0.1,1e-300\n8999999999.123456,8999999999.2\n");
  timings.recording.file = "Ünïcode \"\n\x01";
  const Timings again = read(onset::encode_timings_json(timings));
  check_same(timings, again);
  CHECK(again.recording.file == timings.recording.file);
  timings.recording.file = "\xff\xfe";
  CHECK_NOTHROW(read(onset::encode_timings_json(timings)));
}

TEST_CASE("a file that is missing or a folder is told by its path") {
  const test::TemporaryFolder folder;
  CHECK_THROWS_WITH(read_timings(folder.path() / "none.csv"), Catch::Contains("none.csv"));
  CHECK_THROWS_WITH(read_timings(folder.path()), Catch::Contains("cannot be read"));
}
