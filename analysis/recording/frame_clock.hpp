#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/recording/frame_source.hpp"

/// From a file's time stamps to the seconds at which its frames were exposed.
namespace thumblight::recording {

/// Frame times in seconds of real time: the instant at which the exposure of the frame's first row
/// began. (Cameras differ in what they stamp; a constant shift is common to all instants.)
struct FrameClock {
  std::vector<double> time_s;
  std::string source;                ///< stamps or capture-rate
  std::string why;                   ///< one sentence on the choice
  double interval_s = 0;             ///< between frames where none is missing
  std::optional<double> nominal_hz;  ///< as marked or stated
  double slowdown = 1;               ///< stored seconds for one real second: 8 for 240 marked as 30
  bool steady = true;                ///< frames lie on an even grid
  std::int64_t dropped = 0;          ///< frames missing from that grid
  std::int64_t odd_stamps = 0;       ///< stamps that do not rise, or that the file lacks
  double start_s = 0;                ///< first stamp in the file's own seconds
  double rounding_s = 0;             ///< step of the file's stamps, in real seconds
};

/// `capture_hz` is what the person states; empty takes the file's own word.
/// Throws `Error` for fewer than two frames, and for images without a stated rate.
FrameClock make_frame_clock(const VideoInfo& info, const std::vector<std::int64_t>& stamps,
                            std::int64_t unstamped, std::optional<double> capture_hz);

}  // namespace thumblight::recording
