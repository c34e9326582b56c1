#include "harness/options.hpp"

#include <CLI/CLI.hpp>
#include <charconv>
#include <cstdio>
#include <iostream>
#include <sstream>
#include <system_error>

#include "harness/session/error.hpp"

namespace thumblight::harness {
namespace {

const std::map<std::string, PacingKind> kPacings = {{"on-press", PacingKind::kOnPress},
                                                    {"every-frame", PacingKind::kEveryFrame},
                                                    {"frame-start", PacingKind::kFrameStart}};
const std::map<std::string, RendererKind> kRenderers = {{"any", RendererKind::kAny},
                                                        {"hardware", RendererKind::kHardware},
                                                        {"software", RendererKind::kSoftware}};

constexpr char kExamples[] =
    "Examples:\n"
    "  thumblight-harness                          full screen; asks for all it needs\n"
    "  thumblight-harness --out evening-1 --presses 40 --label controller=Heron\n"
    "  thumblight-harness --caution-read --control pad:a --presses 40 --pacing every-frame\n"
    "  thumblight-harness --self-check             what this machine is fit to measure";

/// Tells CLI11 what is wrong with a text; empty if nothing.
CLI::Validator one_of(const std::vector<std::string>& names) {
  return {[names](const std::string& text) {
            std::string list;
            for (const std::string& name : names) {
              if (name == text) {
                return std::string();
              }
              list += (list.empty() ? "" : ", ") + name;
            }
            return "'" + text + "' is none of: " + list;
          },
          ""};
}

/// CLI11's own range lets NaN through, which lies beyond neither end.
CLI::Validator between(double low, double high) {
  return {[low, high](const std::string& text) {
            double value = 0;
            const auto [end, fault] =
                std::from_chars(text.data(), text.data() + text.size(), value);
            std::ostringstream complaint;
            if (fault != std::errc() || end != text.data() + text.size() ||
                !(value >= low && value <= high)) {
              complaint << "'" << text << "' is no number from " << low << " to " << high;
            }
            return complaint.str();
          },
          ""};
}

/// "a|b|c": what an option takes, as --help names it.
std::string alternatives(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) {
    text += (text.empty() ? "" : "|") + name;
  }
  return text;
}

template <typename Value>
void add_choice(CLI::App& app, const std::string& option,
                const std::map<std::string, Value>& choices, Value& into, const std::string& help) {
  std::vector<std::string> names;
  names.reserve(choices.size());
  for (const auto& [name, value] : choices) {
    names.push_back(name);
  }
  app.add_option_function<std::string>(
         option, [&into, &choices](const std::string& text) { into = choices.at(text); }, help)
      ->check(one_of(names))
      ->type_name(alternatives(names));
}

Size parse_size(const std::string& text, const std::string& option) {
  Size size;
  char rest = 0;
  if (std::sscanf(text.c_str(), "%dx%d%c", &size.w, &size.h, &rest) != 2 || size.w < 160 ||
      size.h < 120 || size.w > 16384 || size.h > 16384) {
    throw CLI::ValidationError(option,
                               "'" + text + "' is no size; give one like 1280x720, from 160x120");
  }
  return size;
}

void parse_mode(const std::string& text, WindowSettings& window) {
  const std::size_t at = text.find('@');
  window.mode = parse_size(text.substr(0, at), "--mode");
  if (at == std::string::npos) {
    return;
  }
  char rest = 0;
  if (std::sscanf(text.c_str() + at, "@%d%c", &window.mode_hz, &rest) != 1 || window.mode_hz < 1) {
    throw CLI::ValidationError("--mode", "'" + text + "' is no mode; give one like 1920x1080@60");
  }
}

void add_label(const std::string& text, std::map<std::string, std::string>& labels) {
  const std::size_t equals = text.find('=');
  if (equals == 0 || equals == std::string::npos) {
    throw CLI::ValidationError("--label",
                               "'" + text + "' is no label; give one like controller=Heron");
  }
  labels[text.substr(0, equals)] = text.substr(equals + 1);
}

void add_run_options(CLI::App& app, Options& options) {
  app.add_option("--out", options.out, "Folder for the session; it must hold none yet")
      ->type_name("FOLDER")
      ->default_str("session-DATE-TIME");
  app.add_option("--control", options.control,
                 "The control under test, like key:space, mouse:left, touch, pad:a, joy:button3; "
                 "without it, whatever is pressed first")
      ->type_name("NAME");
  app.add_option("--presses", options.presses, "End after so many flashes; 0: go on until ended")
      ->check(between(0, 1000000))
      ->type_name("N")
      ->capture_default_str();
  add_choice(app, "--pacing", kPacings, options.pacing,
             "When events are taken and frames are drawn; on-press unless said otherwise");
  app.add_option("--threshold", options.axis_share,
                 "Share of its way at which a trigger or stick is pressed")
      ->check(between(0.05, 0.95))
      ->type_name("SHARE")
      ->capture_default_str();
  app.add_option_function<std::vector<std::string>>(
         "--label",
         [&options](const std::vector<std::string>& texts) {
           for (const std::string& text : texts) {
             add_label(text, options.labels);
           }
         },
         "As often as you like: controller, connection, device, display, …")
      ->type_name("NAME=TEXT");
  app.add_option_function<std::string>(
         "--lamp", [&options](const std::string& text) { options.lamp = lamp_choice_of(text); },
         "A lamp in the camera's view that is switched with each flash and logged: an LED of the "
         "system's LED class, or one on the line RTS of a serial port")
      ->check(CLI::Validator(
          [](const std::string& text) {
            return lamp_choice_of(text)
                       ? std::string()
                       : "'" + text + "' is no lamp; give one like led:NAME or rts:/dev/ttyUSB0";
          },
          ""))
      ->type_name("led:NAME|rts:DEVICE");
  app.add_flag("--caution-read", options.caution_read,
               "The caution about flashing light has been read");
}

void add_screen_options(CLI::App& app, Options& options) {
  app.add_option("--display", options.window.display, "Number of the display")
      ->check(between(0, 64))
      ->type_name("N")
      ->capture_default_str();
  app.add_option_function<std::string>(
         "--mode", [&options](const std::string& text) { parse_mode(text, options.window); },
         "Full screen in this mode, like 1920x1080@60; without it, in the desktop's")
      ->type_name("WxH@HZ");
  app.add_option_function<std::string>(
         "--window",
         [&options](const std::string& text) {
           options.window.window = parse_size(text, "--window");
         },
         "A window of this size, like 1280x720, instead of the full screen")
      ->type_name("WxH");
  add_choice(app, "--renderer", kRenderers, options.window.renderer,
             "What draws; the hardware where it can, unless said otherwise");
  app.add_option_function<std::string>(
         "--vsync", [&options](const std::string& text) { options.window.vsync = text == "on"; },
         "Whether presenting waits for the refresh; on where it can, unless said otherwise")
      ->check(one_of({"on", "off"}))
      ->type_name("on|off");
}

void add_patch_options(CLI::App& app, Options& options) {
  app.add_option("--patch", options.patch_place,
                 "Place of the patch: centre, top, bottom, left, right, top-left, top-right, "
                 "bottom-left, bottom-right, or X,Y,W,H in pixels")
      ->type_name("PLACE")
      ->capture_default_str();
  app.add_option("--patch-size", options.patch_percent,
                 "Its size in percent of the screen's width and height; at most a quarter of the "
                 "screen flashes")
      ->check(between(1.0, 100.0))
      ->type_name("PERCENT")
      ->capture_default_str();
  app.add_option("--bright", options.bright_level, "Grey level of the lit patch")
      ->check(between(0, 255))
      ->type_name("LEVEL")
      ->capture_default_str();
  app.add_option("--dark", options.dark_level, "Grey level of the dark patch")
      ->check(between(0, 255))
      ->type_name("LEVEL")
      ->capture_default_str();
  app.add_option("--hold-ms", options.hold_ms, "How long the patch stays bright")
      ->check(between(1.0, 10000.0))
      ->type_name("MS")
      ->capture_default_str();
  app.add_option("--rest-ms", options.rest_ms, "How long it then stays dark, whatever is pressed")
      ->check(between(0.0, 60000.0))
      ->type_name("MS")
      ->capture_default_str();
}

}  // namespace

Parsed parse_options(int argc, const char* const* argv) {
  Parsed parsed;
  CLI::App app(
      "Turns a patch of the screen bright at the very frame in which a press arrives, and logs "
      "when.",
      "thumblight-harness");
  app.footer(kExamples);
  app.set_version_flag("--version", "thumblight-harness " THUMBLIGHT_VERSION);
  add_run_options(app, parsed.options);
  add_screen_options(app, parsed.options);
  add_patch_options(app, parsed.options);
  app.add_option_function<std::string>(
         "--end-screen",
         [&parsed](const std::string& text) { parsed.options.show_end = text == "wait"; },
         "Whether the summary waits on the screen for a press, as it does unless said otherwise")
      ->check(one_of({"wait", "skip"}))
      ->type_name("wait|skip");
  app.add_flag("--self-check", parsed.options.self_check,
               "Measure this machine with a virtual controller, and say what it is fit for");
  app.add_flag("--list", parsed.options.list, "List displays, modes and controllers");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int code = app.exit(error, std::cout, std::cerr);
    parsed.exit_code = code == 0 ? kExitGood : kExitUsage;
  }
  return parsed;
}

}  // namespace thumblight::harness
