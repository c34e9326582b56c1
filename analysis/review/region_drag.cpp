#include "analysis/review/region_drag.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::review {
namespace {

constexpr double kLeast = 2;  ///< pixels of a side

/// One direction of a region: where it begins and how long it is.
struct Side {
  double at = 0;
  double length = 0;
};

Side moved(Side side, bool low, bool high, double by, double most) {
  const double end = side.at + side.length;
  if (low) {
    const double at = std::clamp(std::round(side.at + by), 0.0, end - kLeast);
    return {at, end - at};
  }
  if (high) {
    return {side.at, std::clamp(std::round(end + by), side.at + kLeast, most) - side.at};
  }
  return {std::clamp(std::round(side.at + by), 0.0, std::max(0.0, most - side.length)),
          side.length};
}

Side between(double a, double b, double most) {
  const double low = std::clamp(std::floor(std::min(a, b)), 0.0, most - kLeast);
  const double high = std::clamp(std::ceil(std::max(a, b)), low + kLeast, most);
  return {low, high - low};
}

bool is_near(double value, double side, double reach) {
  return std::abs(value - side) <= reach;
}

}  // namespace

std::optional<Grip> grip_at(const Box& region, Point point, double reach) {
  const Box around = {region.x - reach, region.y - reach, region.w + 2 * reach,
                      region.h + 2 * reach};
  if (!around.holds(point)) {
    return std::nullopt;
  }
  Grip grip;
  grip.right = is_near(point.x, region.right(), reach);
  grip.left = !grip.right && is_near(point.x, region.x, reach);
  grip.bottom = is_near(point.y, region.bottom(), reach);
  grip.top = !grip.bottom && is_near(point.y, region.y, reach);
  return grip;
}

onset::Region dragged(const onset::Region& region, const Grip& grip, double dx, double dy,
                      double width, double height) {
  const bool whole = !grip.left && !grip.right && !grip.top && !grip.bottom;
  const Side across = whole || grip.left || grip.right
                          ? moved({region.x, region.w}, grip.left, grip.right, dx, width)
                          : Side{region.x, region.w};
  const Side down = whole || grip.top || grip.bottom
                        ? moved({region.y, region.h}, grip.top, grip.bottom, dy, height)
                        : Side{region.y, region.h};
  return {across.at, down.at, across.length, down.length};
}

onset::Region spanned(Point from, Point to, double width, double height) {
  const Side across = between(from.x, to.x, width);
  const Side down = between(from.y, to.y, height);
  return {across.at, down.at, across.length, down.length};
}

onset::Region first_region(double width, double height) {
  return spanned({width * 0.4, height * 0.4}, {width * 0.6, height * 0.6}, width, height);
}

}  // namespace thumblight::review
