#include "analysis/rehearsal/orientation.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::rehearsal {

Orientation::Orientation(const CameraSettings& settings)
    : width_(settings.width),
      height_(settings.height),
      rotation_deg_(settings.rotation_deg),
      turned_(settings.rotation_deg % 180 == 90) {}

Point Orientation::upright(Point stored) const {
  switch (rotation_deg_) {
    case 90:
      return {width_px() - stored.y, stored.x};
    case 180:
      return {width_px() - stored.x, height_px() - stored.y};
    case 270:
      return {stored.y, height_px() - stored.x};
    default:
      return stored;
  }
}

Point Orientation::stored(Point upright) const {
  switch (rotation_deg_) {
    case 90:
      return {upright.y, width_px() - upright.x};
    case 180:
      return {width_px() - upright.x, height_px() - upright.y};
    case 270:
      return {height_px() - upright.y, upright.x};
    default:
      return upright;
  }
}

Region Orientation::stored(const Region& upright) const {
  const Point a = stored(Point{upright.x, upright.y});
  const Point b = stored(Point{upright.x + upright.w, upright.y + upright.h});
  return {std::min(a.x, b.x), std::min(a.y, b.y), std::abs(a.x - b.x), std::abs(a.y - b.y)};
}

Regions stored_regions(const Regions& upright, const Orientation& orientation) {
  const auto turn = [&](const std::optional<Region>& region) {
    return region ? std::optional(orientation.stored(*region)) : std::nullopt;
  };
  return {orientation.stored(upright.screen),
          orientation.stored(upright.patch),
          orientation.stored(upright.controller),
          orientation.stored(upright.finger),
          turn(upright.lamp),
          turn(upright.host_lamp)};
}

}  // namespace thumblight::rehearsal
