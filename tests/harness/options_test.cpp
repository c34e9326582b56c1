#include "harness/options.hpp"

#include <catch2/catch.hpp>
#include <vector>

#include "harness/session/error.hpp"

using namespace thumblight;
using harness::Parsed;

namespace {

Parsed parse(std::vector<const char*> words) {
  words.insert(words.begin(), "thumblight-harness");
  return harness::parse_options(static_cast<int>(words.size()), words.data());
}

}  // namespace

TEST_CASE("options are taken as they are written") {
  const Parsed parsed = parse(
      {"--out",        "evening-1",     "--control",    "pad:a",    "--presses", "40",
       "--pacing",     "every-frame",   "--renderer",   "hardware", "--vsync",   "off",
       "--mode",       "1920x1080@120", "--display",    "1",        "--patch",   "top-left",
       "--patch-size", "12.5",          "--hold-ms",    "80",       "--label",   "controller=Heron",
       "--label",      "note=a=b",      "--end-screen", "skip"});
  REQUIRE_FALSE(parsed.exit_code.has_value());
  const harness::Options& options = parsed.options;
  CHECK(options.out == "evening-1");
  CHECK(options.control == "pad:a");
  CHECK(options.presses == 40);
  CHECK(options.pacing == harness::PacingKind::kEveryFrame);
  CHECK(options.window.renderer == harness::RendererKind::kHardware);
  CHECK(options.window.vsync == false);
  CHECK(options.window.mode->w == 1920);
  CHECK(options.window.mode->h == 1080);
  CHECK(options.window.mode_hz == 120);
  CHECK(options.window.display == 1);
  CHECK(options.patch_percent == 12.5);
  CHECK(options.hold_ms == 80);
  CHECK(options.labels.at("controller") == "Heron");
  CHECK(options.labels.at("note") == "a=b");
  CHECK_FALSE(options.show_end);
  CHECK_FALSE(options.lamp.has_value());
  CHECK(harness::text_of(*parse({"--lamp", "led:input3::capslock"}).options.lamp) ==
        "led:input3::capslock");
  CHECK(harness::text_of(*parse({"--lamp", "rts:/dev/ttyUSB0"}).options.lamp) ==
        "rts:/dev/ttyUSB0");
}

TEST_CASE("without options it asks for all it needs") {
  const Parsed parsed = parse({});
  REQUIRE_FALSE(parsed.exit_code.has_value());
  CHECK(parsed.options.control.empty());
  CHECK_FALSE(parsed.options.caution_read);
  CHECK(parsed.options.pacing == harness::PacingKind::kOnPress);
  CHECK_FALSE(parsed.options.window.vsync.has_value());
  CHECK(parsed.options.show_end);
}

TEST_CASE("what is no option, no choice or no number is wrong usage") {
  const auto words = GENERATE(
      values<std::vector<const char*>>({{"--flash-faster"},        {"--pacing", "sometimes"},
                                        {"--renderer", "none"},    {"--vsync", "maybe"},
                                        {"--hold-ms", "nan"},      {"--hold-ms", "0"},
                                        {"--hold-ms", "inf"},      {"--hold-ms", "5x"},
                                        {"--rest-ms", "-1"},       {"--presses", "-3"},
                                        {"--presses", "2.5"},      {"--bright", "256"},
                                        {"--threshold", "nan"},    {"--patch-size", "0"},
                                        {"--window", "12"},        {"--window", "10x10"},
                                        {"--mode", "1920x1080@"},  {"--mode", "1920x1080@0"},
                                        {"--label", "controller"}, {"--label", "=x"},
                                        {"--end-screen", "later"}, {"surplus"},
                                        {"--lamp", "torch"},       {"--lamp", "led:"},
                                        {"--lamp", "led:../x"},    {"--lamp", "led:.."},
                                        {"--lamp", "rts:"},        {"--lamp", ""}}));
  CAPTURE(words);
  CHECK(parse(words).exit_code == kExitUsage);
}

TEST_CASE("help and version end well") {
  CHECK(parse({"--help"}).exit_code == kExitGood);
  CHECK(parse({"--version"}).exit_code == kExitGood);
}
