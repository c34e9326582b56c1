#include "analysis/onset/timings_reader.hpp"

#include <catch2/catch.hpp>
#include <clocale>
#include <cmath>
#include <fstream>
#include <limits>

#include "analysis/onset/timings_writer.hpp"
#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::onset;
using Catch::Matchers::Contains;

namespace {

std::string fault_of(const std::string& text, std::optional<double> rate_hz = {}) {
  try {
    read_timings(text, "marks", rate_hz);
  } catch (const Error& error) {
    return error.what();
  }
  return "no fault";
}

Timings sample_timings() {
  Timings timings;
  timings.recording = {"camera.mp4", "video", {"stamps", 239.76, 240.0}};
  PressTiming first;
  first.press = Instant{2.41, 0.0004, "lamp", 578, {}, {}};
  first.light = Instant{2.43, 0.0002, "step", 583, 2.432, 2.436};
  PressTiming second;
  second.index = 4;
  second.press = Instant{5.1 + 1e-13, {}, "mark", {}, {}, {}};
  second.lamp = Instant{5.12, 0.001, "", {}, {}, {}};
  second.flags = {"blurred", "Ünïcode \"quoted\"\n"};
  PressTiming third;
  third.index = 5;
  third.light = Instant{9, 0.0, "change", 0, {}, {}};
  timings.presses = {first, second, third};
  timings.warnings = {{"dropped-frames", "three frames are missing", "record anew"},
                      {"dim", "the patch is dim", ""}};
  return timings;
}

const char* const kJson =
    R"({"format":"thumblight-timings","version":1,"mood":[{"a":1}],
 "recording":{"file":"camera.mp4","kind":"video","clock":{"source":"stamps","rate_hz":239.76,"nominal_hz":240.0}},
 "presses":[{"index":0,"press":{"t_s":2.41,"u_s":0.0004,"how":"lamp","frame":578},
             "light":{"t_s":2.43,"u_s":0.0002,"how":"step","frame":583,"t50_s":2.432,"t90_s":2.436},"lamp":null,"flags":[]},
            {"index":1,"press":null,"flags":["hidden"]}],
 "warnings":[{"code":"c","text":"t"}]})";

std::string json_with_press(const std::string& press) {
  return R"({"format":"thumblight-timings","version":1,"presses":[)" + press + "]}";
}

bool equal(const std::optional<Instant>& a, const std::optional<Instant>& b) {
  if (!a || !b) {
    return !a && !b;
  }
  return a->t_s == b->t_s && a->u_s == b->u_s && a->how == b->how && a->frame == b->frame &&
         a->t50_s == b->t50_s && a->t90_s == b->t90_s;
}

}  // namespace

TEST_CASE("the format of the design is read, null and absent alike are unknown") {
  const Timings timings = read_timings(kJson, "timings.json");
  CHECK(timings.recording.file == "camera.mp4");
  CHECK(timings.recording.clock.rate_hz == 239.76);
  REQUIRE(timings.presses.size() == 2);
  CHECK(timings.presses[0].press->t_s == 2.41);
  CHECK(timings.presses[0].press->frame == 578);
  CHECK(timings.presses[0].light->t90_s == 2.436);
  CHECK_FALSE(timings.presses[0].lamp);
  CHECK_FALSE(timings.presses[1].press);
  CHECK_FALSE(timings.presses[1].light);
  CHECK(timings.presses[1].flags == std::vector<std::string>{"hidden"});
  CHECK(timings.warnings.at(0).code == "c");
}

TEST_CASE("timings.json: what is written is read back, every digit") {
  const Timings written = sample_timings();
  const Timings read = read_timings(encode_timings_json(written), "timings.json");
  REQUIRE(read.presses.size() == written.presses.size());
  for (std::size_t k = 0; k < read.presses.size(); ++k) {
    CHECK(read.presses[k].index == written.presses[k].index);
    CHECK(equal(read.presses[k].press, written.presses[k].press));
    CHECK(equal(read.presses[k].light, written.presses[k].light));
    CHECK(equal(read.presses[k].lamp, written.presses[k].lamp));
    CHECK(read.presses[k].flags == written.presses[k].flags);
  }
  CHECK(read.recording.clock.nominal_hz == 240.0);
  CHECK(read.warnings.size() == 2);
  CHECK(read.warnings[0].remedy == "record anew");
  CHECK(encode_timings_json(read) == encode_timings_json(written));
  CHECK(read_timings(encode_timings_json({}), "empty").presses.empty());
}

TEST_CASE("the table: what is written is read back, every digit") {
  const Timings read = read_timings(encode_timings_table(sample_timings()), "marks.csv");
  REQUIRE(read.presses.size() == 3);
  CHECK(read.presses[0].press->t_s == 2.41);
  CHECK(read.presses[0].press->u_s == 0.0004);
  CHECK(read.presses[1].press->t_s == 5.1 + 1e-13);
  CHECK_FALSE(read.presses[1].press->u_s);
  CHECK_FALSE(read.presses[1].light);
  CHECK(read.presses[1].lamp->u_s == 0.001);
  CHECK_FALSE(read.presses[2].press);
  CHECK(encode_timings_table(read) == encode_timings_table(sample_timings()));
}

TEST_CASE("timings.json cut at any byte is refused by name, or whole") {
  const std::string text = encode_timings_json(sample_timings());
  const std::size_t whole = text.find_last_of('}') + 1;
  for (std::size_t length = 0; length < text.size(); ++length) {
    INFO("cut after " << length << " bytes");
    const std::string fault = fault_of(text.substr(0, length));
    CHECK((length >= whole ? fault == "no fault" : fault.rfind("marks", 0) == 0));
  }
}

TEST_CASE("a table cut at any byte never gives more rows and says that its end is open") {
  const std::string text = encode_timings_table(sample_timings());
  std::size_t most = 0;
  for (std::size_t length = 0; length <= text.size(); ++length) {
    INFO("cut after " << length << " bytes");
    try {
      const Timings timings = read_timings(text.substr(0, length), "marks");
      CHECK(timings.presses.size() <= 3);
      CHECK(timings.presses.size() >= most);
      most = timings.presses.size();
      const bool open = text[length - 1] != '\n' && !timings.presses.empty();
      CHECK(timings.warnings.size() == (open ? 1 : 0));
    } catch (const Error& error) {
      CHECK_THAT(error.what(), Contains("marks"));
    }
  }
  CHECK(most == 3);
}

TEST_CASE("a table as spreadsheets and hands make it") {
  const Timings timings = read_timings(
      "\xEF\xBB\xBF# marked by hand\r\n light_s , press_s,press_u_s\r\n\r\n 1.25 ,+1.5e-1,\r\n"
      "# the hand was in the way\r\n,3,0.002\r\n",
      "marks.csv");
  REQUIRE(timings.presses.size() == 2);
  CHECK(timings.presses[0].press->t_s == 0.15);
  CHECK(timings.presses[0].light->t_s == 1.25);
  CHECK(timings.presses[0].press->how == "mark");
  CHECK_FALSE(timings.presses[0].press->u_s);
  CHECK(timings.presses[1].index == 1);
  CHECK(timings.presses[1].press->u_s == 0.002);
  CHECK_FALSE(timings.presses[1].light);
  CHECK(timings.warnings.empty());
}

// T/sqrt(12) for one instant, T/sqrt(6) for a difference: rectangular and triangular, JCGM
// 100:2008, 4.3.7 and 4.3.9; at 240 images a second the difference has 1.70103 ms (computed by
// simulation).
TEST_CASE("frames become instants with the uncertainty of a frame") {
  const Timings timings =
      read_timings("press_frame,light_frame,lamp_frame,light_u_s\n578,583,,\n600,607,603,0.01\n",
                   "marks.csv", 240.0);
  REQUIRE(timings.presses.size() == 2);
  const PressTiming& first = timings.presses[0];
  CHECK(first.press->t_s == 578.0 / 240);
  CHECK(first.press->frame == 578);
  CHECK(first.press->how == "mark");
  CHECK(*first.press->u_s == Approx(1 / 240.0 / std::sqrt(12.0)).epsilon(1e-15));
  CHECK(std::hypot(*first.press->u_s, *first.light->u_s) == Approx(0.00170103).epsilon(1e-5));
  CHECK_FALSE(first.lamp);
  CHECK(timings.presses[1].light->u_s == 0.01);
  CHECK(timings.presses[1].lamp->frame == 603);
  CHECK(timings.recording.clock.source == "capture-rate");
}

TEST_CASE("numbers do not change with the locale") {
  const char* const changed = std::setlocale(LC_ALL, "de_DE.UTF-8");
  const Timings timings = read_timings("press_s,light_s\n1.5,2.5\n", "marks.csv");
  CHECK(timings.presses[0].press->t_s == 1.5);
  CHECK_THAT(encode_timings_table(timings), Contains("1.5,2.5"));
  CHECK_THAT(encode_timings_json(timings), Contains("1.5"));
  std::setlocale(LC_ALL, "C");
  if (changed == nullptr) {
    WARN("no locale with a decimal comma is installed; the C locale was tested alone");
  }
}

TEST_CASE("a table's fault names file, line and cell") {
  const auto row = [](const std::string& cells) {
    return fault_of("press_s,light_s\n1,2\n" + cells + "\n");
  };
  for (const char* cell : {"nan", "inf", "-inf", "NaN", "1e999", "0x10", "1,5", "--1", "1 2", "+",
                           "abc", "1.5s", "\"3\"", "9.1e9", "-9.1e9", "1e-999x"}) {
    INFO(cell);
    CHECK_THAT(row(std::string(cell) + ",4"), Contains("marks, line 3"));
  }
  CHECK_THAT(row("3"), Contains("line 3: 1 columns where the header has 2"));
  CHECK_THAT(row("3,4,5"), Contains("3 columns where the header has 2"));
  CHECK_THAT(row("0.5,4"), Contains("line 3") && Contains("earlier") && Contains("press"));
  CHECK_THAT(row("+-2,4"), Contains("line 3") && Contains("'+-2'"));
  CHECK_THAT(row("3,1.5"), Contains("line 3") && Contains("light is earlier"));
  CHECK_THAT(row(std::string(5000, '1')), Contains("line 3") && Contains("longer than 4 KiB"));
  CHECK_THAT(row(std::string("\0\x1b[31m,4", 8)), Contains("'??[31m'"));
  CHECK_THAT(fault_of("press_s;light_s\n1;2\n"), Contains("separated by commas"));
  CHECK_THAT(fault_of("press_s\n1\n"), Contains("light_s") && Contains("missing"));
  CHECK_THAT(fault_of("press_s,light_s,sky\n"), Contains("unknown column 'sky'"));
  CHECK_THAT(fault_of("press_s,light_s,press_s\n"), Contains("there twice"));
  CHECK_THAT(fault_of("press_s,light_frame\n"), Contains("cannot be mixed"));
  CHECK_THAT(fault_of("press_s,light_s,lamp_u_s\n"), Contains("lamp_s"));
  CHECK_THAT(fault_of("press_s,light_s,press_u_s\n1,2,-1\n"), Contains("negative"));
  CHECK_THAT(fault_of("press_s,light_s,press_u_s\n,2,1\n"), Contains("no instant of the press"));
  CHECK_THAT(fault_of("# nothing\n"), Contains("no header"));
  CHECK_THAT(fault_of(""), Contains("empty"));
  CHECK_THAT(fault_of("\xEF\xBB\xBF\r\n"), Contains("empty"));
  CHECK(fault_of("press_s,light_s\n") == "no fault");
}

TEST_CASE("frames need a rate, and are whole and not negative") {
  const std::string head = "press_frame,light_frame\n";
  CHECK_THAT(fault_of(head + "1,2\n"), Contains("--capture-rate"));
  for (const char* cell : {"-1", "1.5", "1e3", "99999999999999999999", "x"}) {
    INFO(cell);
    CHECK_THAT(fault_of(head + cell + ",9\n", 240), Contains("marks, line 2"));
  }
  for (const double rate_hz :
       {0.0, -240.0, std::nan(""), std::numeric_limits<double>::infinity()}) {
    CHECK_THAT(fault_of(head + "1,2\n", rate_hz), Contains("capture rate"));
  }
  CHECK(fault_of(head + "1,2\n", 240) == "no fault");
}

TEST_CASE("a fault in timings.json names the key or the line") {
  CHECK_THAT(fault_of(json_with_press(R"({"press":null})")),
             Contains("'presses[0].index' is missing"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":0,"light":{"t_s":"late"}})")),
             Contains("'presses[0].light.t_s' must be a number"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":0,"light":{"t_s":1e10}})")),
             Contains("'presses[0].light.t_s'") && Contains("9e9"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":0,"light":{"u_s":1}})")),
             Contains("'presses[0].light.t_s' is missing"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":0,"press":{"t_s":1,"u_s":-1}})")),
             Contains("'presses[0].press.u_s'") && Contains("not negative"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":0,"press":{"t_s":1,"frame":1.5}})")),
             Contains("'presses[0].press.frame' must be a whole number"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":1},{"index":1})")),
             Contains("'presses[1].index' must be greater"));
  CHECK_THAT(
      fault_of(json_with_press(R"({"index":0,"press":{"t_s":2}},{"index":1,"press":{"t_s":1}})")),
      Contains("'presses[1].press.t_s' is earlier"));
  CHECK_THAT(fault_of(json_with_press("7")), Contains("'presses[0]' must be an object; found 7"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":0,"press":[[[]]]})")),
             Contains("must be an object; found a list"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":0,"press":{"t_s":1e999}})")),
             Contains("beyond every range"));
  CHECK_THAT(fault_of(json_with_press(R"({"index":0,"press":{"t_s":NaN}})")), Contains("line 1"));
  CHECK_THAT(fault_of("{\"format\":\n\n nonsense"), Contains("marks, line 3: not valid JSON"));
  CHECK_THAT(fault_of(R"({"version":1})"), Contains("'format' is missing"));
  CHECK_THAT(fault_of(R"({"format":"shopping","version":1})"), Contains("something else"));
  CHECK_THAT(fault_of(R"({"format":"thumblight-timings","version":2,"presses":[]})"),
             Contains("version 2") && Contains("up to version 1") && Contains("update"));
  CHECK_THAT(fault_of(R"({"format":"thumblight-timings","version":1})"),
             Contains("'presses' is missing"));
}

TEST_CASE("deep nesting neither crashes nor is believed") {
  const std::string deep = std::string(200'000, '[') + std::string(200'000, ']');
  CHECK(fault_of(R"({"format":"thumblight-timings","version":1,"presses":[],"x":)" + deep + "}") ==
        "no fault");
  CHECK_THAT(fault_of(json_with_press(deep)), Contains("must be an object; found a list"));
  CHECK_THAT(fault_of("{" + std::string(200'000, '[')), Contains("not valid JSON"));
}

TEST_CASE("the kind of a file is told by its content") {
  const test::TemporaryFolder folder;
  const auto put = [&](const char* name, const std::string& text) {
    std::ofstream(folder.path() / name, std::ios::binary) << text;
    return folder.path() / name;
  };
  CHECK(read_timings(put("table.json", "press_s,light_s\n1,2\n")).presses.size() == 1);
  CHECK(read_timings(put("json.csv", kJson)).presses.size() == 2);
  CHECK_THROWS_WITH(read_timings(folder.path()), Contains("cannot be read"));
  CHECK_THROWS_WITH(read_timings(folder.path() / "none"), Contains("cannot be read"));
}
