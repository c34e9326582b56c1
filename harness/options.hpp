#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>

#include "harness/run/pacing.hpp"
#include "harness/system/lamps.hpp"
#include "harness/system/sdl_window.hpp"

namespace thumblight::harness {

struct Options {
  std::filesystem::path out;
  bool caution_read = false;
  std::string control;  ///< empty: whatever is pressed first
  int presses = 0;
  PacingKind pacing = PacingKind::kOnPress;
  WindowSettings window;
  std::string patch_place = "centre";
  double patch_percent = 30;
  int bright_level = 255;
  int dark_level = 0;
  double hold_ms = 150;
  double rest_ms = 300;
  double axis_share = 0.5;
  std::optional<LampChoice> lamp;  ///< switched at each flash
  bool show_end = true;
  bool self_check = false;
  bool list = false;
  std::map<std::string, std::string> labels;
};

/// The options, or the exit code with which the program has to end at once: after --help and
/// --version, and at a fault, which has been told on standard error.
struct Parsed {
  Options options;
  std::optional<int> exit_code;
};
Parsed parse_options(int argc, const char* const* argv);

}  // namespace thumblight::harness
