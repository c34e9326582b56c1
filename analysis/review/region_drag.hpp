#pragma once

#include <optional>

#include "analysis/onset/timings.hpp"
#include "analysis/review/frame_view.hpp"

/// Regions under the mouse and the keys.
namespace thumblight::review {

/// Which sides of a region move along: none is the whole of it.
struct Grip {
  bool left = false;
  bool right = false;
  bool top = false;
  bool bottom = false;
};

/// What the mouse takes hold of at `point`, `reach` pixels around the sides; empty beside the
/// region.
std::optional<Grip> grip_at(const Box& region, Point point, double reach);

/// The region after its grip was moved by (dx, dy) pixels of the picture, in whole pixels, within
/// a picture of this size.
onset::Region dragged(const onset::Region& region, const Grip& grip, double dx, double dy,
                      double width, double height);

/// The region from one corner to another, in whole pixels, within a picture of this size.
onset::Region spanned(Point from, Point to, double width, double height);

/// One in the middle, to begin with.
onset::Region first_region(double width, double height);

}  // namespace thumblight::review
