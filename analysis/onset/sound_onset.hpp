#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace thumblight::onset {

/// Where a sound rises out of its noise.
struct SoundOnset {
  double time_s = 0;
  double u_s = 0;
  double strength = 0;  ///< peak over noise
};

/// All sudden rises in a stretch of sound sampled at `rate_hz` from `start_s` on, in order of time.
/// The slow part of the signal (hum) is left out.
std::vector<SoundOnset> find_sound_onsets(const std::vector<float>& samples, double start_s,
                                          double rate_hz);

}  // namespace thumblight::onset
