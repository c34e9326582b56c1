#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "analysis/marks/session_marks.hpp"
#include "analysis/onset/timings.hpp"
#include "analysis/recording/frame_clock.hpp"
#include "analysis/recording/frame_index.hpp"

namespace thumblight::review {

/// The frames of one recording, with the times that reading it gives them.
struct ReviewedFrames {
  std::filesystem::path recording;
  recording::FrameIndex index;
  recording::FrameClock clock;

  std::int64_t frames() const { return index.frames(); }
  std::int64_t clamped(std::int64_t frame) const;
  double time_s(std::int64_t frame) const;
  /// The last frame that begins at `t_s` or before; the first where none does.
  std::int64_t frame_at(double t_s) const;
  /// Size of the upright picture.
  double upright_width() const;
  double upright_height() const;
};

/// Numbers and times of all frames. Where `counted` (frames that reading the recording found, empty
/// where that is unknown or faults were met) agrees with the packets these suffice, else every
/// frame is decoded once, of which `progress` is told. Throws `Error`.
ReviewedFrames open_frames_of(const std::filesystem::path& recording,
                              std::optional<std::int64_t> counted,
                              std::optional<double> capture_rate_hz,
                              const recording::IndexProgress& progress);

/// One session that is looked at.
struct ReviewedSession {
  std::filesystem::path folder;
  ReviewedFrames film;
  marks::SessionMarks marks;
  int pass = 1;             ///< of the marks made now
  bool hides_rest = false;  ///< neither what was found nor marks of other passes are shown
  std::optional<std::vector<std::int64_t>> wanted;  ///< the presses to be looked at; empty: all

  /// A frame for the marks.
  marks::ChosenFrame chosen(std::int64_t frame) const;
  /// What follows the press is no patch that a harness lights.
  bool without_log = false;
  /// The name under which the marks keep the region of what follows the press.
  const char* light_region() const { return without_log ? "change" : "patch"; }
};

}  // namespace thumblight::review
