#pragma once

#include <string>

#include "harness/pages/page.hpp"

namespace thumblight::harness {

/// The largest share of the screen that may flash.
inline constexpr double kLargestPatchShare = 0.25;

/// Where the patch is: a named place with a size in percent of the screen's width and height, or a
/// rectangle in pixels as "X,Y,W,H". The answer lies on the screen and takes at most a quarter of
/// it, whatever was asked for. Throws `Error` for a place that is none.
Rect place_patch(const Size& screen, const std::string& place, double percent);

}  // namespace thumblight::harness
