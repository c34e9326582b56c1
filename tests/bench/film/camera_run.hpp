#pragma once

#include <cstdint>
#include <filesystem>

#include "tests/bench/child_process.hpp"
#include "tests/bench/virtual_display.hpp"

namespace thumblight::bench {

/// What the camera tells of its film.
struct CameraReport {
  std::int64_t first_ns = 0;  ///< the host's time of the film's time 0
  std::int64_t pictures = 0;
  std::int64_t left_out = 0;  ///< late or torn
  double longest_gap_ms = 0;
  double copy_median_ms = 0;  ///< from the first row of a picture to its last
};

/// `thumblight-screen-camera` at work on a virtual display.
class CameraRun {
 public:
  /// Returns once the first picture is taken. Throws `Error` if none is.
  CameraRun(const std::filesystem::path& program, const VirtualDisplay& display, double rate_hz,
            const std::filesystem::path& film);

  /// Ends the film and waits until it is written. Throws `Error` if that fails.
  CameraReport finish();

 private:
  std::filesystem::path film_;
  ChildProcess process_;
};

}  // namespace thumblight::bench
