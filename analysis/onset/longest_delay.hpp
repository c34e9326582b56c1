#pragma once

namespace thumblight::onset {

/// A press comes before its light by no more than this.
inline constexpr double kLongestDelay_s = 0.6;

}  // namespace thumblight::onset
