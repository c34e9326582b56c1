#pragma once

#include <cstdint>

#include "analysis/rehearsal/random.hpp"
#include "analysis/rehearsal/settings.hpp"

namespace thumblight::rehearsal {

/// One image that the camera was due to take.
struct CameraFrame {
  std::int64_t number = 0;
  double start_s = 0;    ///< the first row read begins to expose, on the recording's clock
  bool dropped = false;  ///< missing from the file
  bool doubled = false;  ///< the file shows the image before it once more
};

/// When the camera takes its images.
class FrameClock {
 public:
  FrameClock(const CameraSettings& settings, std::uint64_t seed);

  /// The first starts at 0 and is always in the file.
  CameraFrame next();

 private:
  CameraSettings settings_;
  Random random_;
  std::int64_t number_ = 0;
  double due_s_ = 0.0;
};

/// The time stamp in ticks of the `written`-th image of the file (both counted from 0).
std::int64_t stamp_ticks(const Settings& settings, const CameraFrame& frame, std::int64_t written,
                         int ticks_per_s);

}  // namespace thumblight::rehearsal
