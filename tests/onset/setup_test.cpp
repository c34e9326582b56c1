#include "analysis/onset/setup.hpp"

#include <catch2/catch.hpp>
#include <fstream>

#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::onset;

TEST_CASE("what the person states is read, and the rest passed over") {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "setup.json";
  CHECK_FALSE(read_setup(file).capture_rate_hz);
  std::ofstream(file) << R"({"capture_rate_hz":240,"readout_s":0.004,"readout_from":"bottom",
    "exposure_share":0.5,"press_from":"sound","light_from":"change","labels":{"a":"b"},"later":[1],
    "regions":{"patch":{"x":1,"y":2,"w":3,"h":4},"lamp":null,
      "change":{"x":5,"y":6,"w":7,"h":8}},
    "sound":{"distance_m":0.5,"offset_s":-0.01},"channels":{"light":1}})";
  const Setup setup = read_setup(file);
  CHECK(*setup.capture_rate_hz == 240);
  CHECK(*setup.readout_s == 0.004);
  CHECK(setup.bottom_row_first);
  CHECK(setup.press_from == "sound");
  CHECK(setup.patch->h == 4);
  CHECK_FALSE(setup.lamp);
  CHECK(setup.change.value().w == 7);
  CHECK(setup.light_from == "change");
  CHECK(*setup.sound_distance_m == 0.5);
  CHECK(*setup.light_channel == 1);
  CHECK(setup.threshold == 0.1);
}

TEST_CASE("faults name the key") {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "setup.json";
  const auto read = [&](const char* text) {
    std::ofstream(file) << text;
    read_setup(file);
  };
  using Catch::Matchers::Contains;
  CHECK_THROWS_WITH(read("{"), Contains("JSON"));
  CHECK_THROWS_WITH(read("[]"), Contains("object"));
  CHECK_THROWS_WITH(read(R"({"readout_s":-1})"), Contains("readout_s"));
  CHECK_THROWS_WITH(read(R"({"threshold":"x"})"), Contains("threshold"));
  CHECK_THROWS_WITH(read(R"({"press_from":"toe"})"), Contains("press_from"));
  CHECK_THROWS_WITH(read(R"({"light_from":"toe"})"), Contains("light_from"));
  CHECK_THROWS_WITH(read(R"({"regions":{"change":{"x":1}}})"), Contains("change"));
  CHECK_THROWS_WITH(read(R"({"regions":{"patch":{"x":1,"y":1}}})"), Contains("patch"));
}
