#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "harness/session/records.hpp"
#include "tests/bench/child_process.hpp"
#include "tests/bench/key_injector.hpp"
#include "tests/bench/virtual_display.hpp"

namespace thumblight::bench {

/// How to run the harness. Its control under test is the space bar.
struct HarnessPlan {
  std::filesystem::path program;
  std::filesystem::path folder;  ///< of the session; made by the harness
  std::string pacing = "on-press";
  std::string renderer = "hardware";
  bool vsync = true;
  std::optional<Size> window;  ///< empty: full screen
  int presses = 40;            ///< flashes after which it ends; 0: never by itself
  int hold_ms = 150;
  int rest_ms = 150;
  std::string label = "bench=xvfb";
};

std::vector<std::string> arguments_of(const HarnessPlan& plan);

/// A harness that runs on a virtual display, armed and with the keyboard once it is constructed.
class HarnessRun {
 public:
  /// Throws `Error` with the harness's own words if it does not get as far as that.
  HarnessRun(const VirtualDisplay& display, const HarnessPlan& plan);

  const session::Header& header() const { return header_; }
  const WindowPlace& window() const { return window_; }
  KeyInjector& injector() { return injector_; }
  ChildProcess& process() { return process_; }

  /// The pixel at the centre of the patch.
  PixelAddress patch_centre() const;
  /// The level half-way between the patch's dark and bright.
  int halfway_level() const;

  /// Waits for the end and gives the exit code; asks it to end after `patience_s`. Throws `Error`
  /// if it does not end then.
  int finish(double patience_s);

 private:
  session::Header wait_armed();

  const VirtualDisplay& display_;
  std::filesystem::path folder_;
  ChildProcess process_;
  KeyInjector injector_;
  WindowPlace window_;
  session::Header header_;
};

}  // namespace thumblight::bench
