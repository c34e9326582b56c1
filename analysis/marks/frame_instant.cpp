#include "analysis/marks/frame_instant.hpp"

#include <cmath>

namespace thumblight::marks {
namespace {

/// How far along the sensor's way through its rows a region's middle lies, from 0 to 1; where the
/// picture is sideways, the rows stand upright.
double way_of(const onset::CameraInfo& camera, const onset::Region& region) {
  const double x = (region.x + region.w / 2) / camera.width;
  const double y = (region.y + region.h / 2) / camera.height;
  double way = y;
  if (camera.rotation_deg == 90) {
    way = 1 - x;
  } else if (camera.rotation_deg == 180) {
    way = 1 - y;
  } else if (camera.rotation_deg == 270) {
    way = x;
  }
  return camera.bottom_row_first ? 1 - way : way;
}

double row_delay_s(const onset::CameraInfo& camera, const std::optional<onset::Region>& region) {
  if (!camera.readout_s || camera.width <= 0 || camera.height <= 0) {
    return 0;
  }
  return *camera.readout_s * (region ? way_of(camera, *region) : 0.5);
}

}  // namespace

std::optional<double> frame_time_s(const onset::RecordingInfo& recording) {
  return recording.clock.rate_hz ? std::optional<double>(1 / *recording.clock.rate_hz)
                                 : std::nullopt;
}

FrameOffset frame_offset(const onset::RecordingInfo& recording, double frame_s) {
  if (recording.kind == "table") {
    return {};  // its instants are the frames' own times, and so are the marks beside them
  }
  if (recording.kind == "sound" || recording.kind == "samples") {
    return {-frame_s / 2, -frame_s / 2, 0};
  }
  // Half a frame open, nothing is known of the exposure, which is anything up to a whole frame.
  FrameOffset offset{0, 0, frame_u_s(frame_s)};
  if (recording.camera) {
    const onset::CameraInfo& camera = *recording.camera;
    if (camera.exposure_s) {
      const double middle_s = *camera.exposure_s - frame_s / 2;
      offset = {middle_s, middle_s, camera.exposure_u_s.value_or(0)};
    }
    offset.press_s += row_delay_s(camera, camera.press);
    offset.light_s += row_delay_s(camera, camera.patch);
  }
  return offset;
}

}  // namespace thumblight::marks
