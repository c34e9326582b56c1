#include "analysis/rehearsal/settings.hpp"

#include <catch2/catch.hpp>

#include "analysis/rehearsal/presets.hpp"
#include "harness/session/error.hpp"

using namespace thumblight;
using namespace thumblight::rehearsal;
using Catch::Matchers::Contains;

TEST_CASE("settings come back from their text") {
  for (const std::string& name : preset_names()) {
    const Settings settings = preset(name);
    CHECK_NOTHROW(check(settings));
    CHECK(settings_text(parse_settings(settings_text(settings), "a")) == settings_text(settings));
  }
}

TEST_CASE("an empty object is a whole file") {
  CHECK(settings_text(parse_settings("{}", "a")) == settings_text(Settings{}));
}

TEST_CASE("a file starts from a preset and changes what it names") {
  const Settings settings =
      parse_settings(R"({"preset":"old-tube","display":{"bright":0.3},"press":{"count":3}})", "a");
  CHECK(settings.display.panel == PanelKind::kTube);
  CHECK(settings.display.bright == 0.3);
  CHECK(settings.display.height == 480);
  CHECK(settings.press.count == 3);
}

TEST_CASE("faulty settings are refused with their name") {
  const auto fault = [](const std::string& text) {
    try {
      parse_settings(text, "my.json");
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string("nothing");
  };
  CHECK_THAT(fault(R"({"camera":{"widht":3}})"), Contains("my.json") && Contains("camera.widht"));
  CHECK_THAT(fault(R"({"camera":3})"), Contains("camera") && Contains("type"));
  CHECK_THAT(fault(R"({"camera":{"width":"3"}})"), Contains("camera.width"));
  CHECK_THAT(fault(R"({"camera":{"width":320.5}})"), Contains("camera.width"));
  CHECK_THAT(fault(R"({"camera":{"width":null}})"), Contains("camera.width"));
  CHECK_THAT(fault(R"({"camera":{"width":321}})"), Contains("even"));
  CHECK_THAT(fault(R"({"camera":{"bits":12}})"), Contains("camera.bits"));
  CHECK_THAT(fault(R"({"camera":{"curve":"log"}})"), Contains("bt709"));
  CHECK_THAT(fault(R"({"press":{"count":-1}})"), Contains("press.count"));
  CHECK_THAT(fault(R"({"press":{"gap_min_s":0.2}})"), Contains("press.gap_min_s"));
  CHECK_THAT(fault(R"({"preset":"new-tube"})"), Contains("old-tube"));
  CHECK_THAT(fault(R"({"preset":7})"), Contains("my.json"));
  CHECK_THAT(fault(R"({"setup":{"labels":{"controller":7}}})"), Contains("my.json"));
  CHECK_THAT(fault(R"({"file":{"container":"mkv"},"camera":{"rotation_deg":90}})"),
             Contains("camera.rotation_deg"));
  CHECK_THAT(fault(R"({"file":{"container":"avi"}})"), Contains("file.stamps"));
  CHECK_THAT(fault(R"({"camera":{"exposure_share":1.0,"interval_jitter":0.1}})"),
             Contains("camera.exposure_share"));
  CHECK_THAT(fault(R"({"seed":1e400})"), Contains("my.json"));
  CHECK_THAT(fault("[]"), Contains("object"));
  CHECK_THAT(fault(""), Contains("my.json"));
  CHECK_THAT(fault("{\"camera\":"), Contains("my.json"));
}

TEST_CASE("settings cut anywhere are refused or whole") {
  const std::string text = settings_text(Settings{});
  const std::size_t whole = text.rfind('}');
  for (std::size_t length = 0; length <= whole; ++length) {
    REQUIRE_THROWS_AS(parse_settings(text.substr(0, length), "cut"), Error);
  }
}
