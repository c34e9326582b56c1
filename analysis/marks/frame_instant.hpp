#pragma once

#include <optional>

#include "analysis/marks/records.hpp"
#include "analysis/onset/timings.hpp"

namespace thumblight::marks {

/// Where within the frames an instant lies whose first frame was marked. A frame shows what comes
/// before its exposure ends, so the instant lies between the ends of the exposure of the frame
/// before and of its own: in the middle, exposure - T / 2 after the marked frame's time. The rows
/// of a rolling shutter are exposed one after another.
struct FrameOffset {
  double press_s = 0;  ///< added to the time of a marked frame
  double light_s = 0;
  double u_both_s = 0;  ///< what the exposure leaves open, at press and light alike
};

FrameOffset frame_offset(const onset::RecordingInfo& recording, double frame_s);

/// Time of a frame (or sample) as the recording has it; empty where it is not told.
std::optional<double> frame_time_s(const onset::RecordingInfo& recording);

}  // namespace thumblight::marks
