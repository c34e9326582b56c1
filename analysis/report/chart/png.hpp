#pragma once

#include <string>

namespace thumblight::report::chart {

/// The picture that an SVG file shows, as a PNG file of its own size in pixels. Throws `Error` if
/// it is no SVG or cannot be drawn.
std::string png_of(const std::string& svg);

}  // namespace thumblight::report::chart
