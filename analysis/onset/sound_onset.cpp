#include "analysis/onset/sound_onset.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::onset {
namespace {

constexpr double kQuietBefore_s = 0.025;  ///< a new click needs this much quiet before it
constexpr double kRise_s = 0.003;  ///< the peak of a click comes this soon after its beginning

/// First differences of second order: hum and rumble vanish, clicks stay.
std::vector<float> sharpened(const std::vector<float>& samples) {
  std::vector<float> sharp(samples.size(), 0.0F);
  for (std::size_t i = 2; i < samples.size(); ++i) {
    sharp[i] = std::abs(samples[i] - samples[i - 1]);
  }
  return sharp;
}

float noise_of(std::vector<float> sharp) {
  if (sharp.empty()) {
    return 0;
  }
  const auto middle = sharp.begin() + static_cast<std::ptrdiff_t>(sharp.size() / 2);
  std::nth_element(sharp.begin(), middle, sharp.end());
  return *middle / 0.6745F;
}

}  // namespace

std::vector<SoundOnset> find_sound_onsets(const std::vector<float>& samples, double start_s,
                                          double rate_hz) {
  const std::vector<float> sharp = sharpened(samples);
  constexpr float kFinest = 2e-5F;
  const float noise = std::max(noise_of(sharp), kFinest);
  const float least = 7 * noise;
  const auto quiet = static_cast<std::size_t>(kQuietBefore_s * rate_hz);
  const auto rise = static_cast<std::size_t>(kRise_s * rate_hz) + 1;
  std::vector<SoundOnset> onsets;
  std::size_t last_loud = 0;
  bool any = false;
  for (std::size_t i = 2; i < sharp.size(); ++i) {
    if (sharp[i] < least) {
      continue;
    }
    const bool fresh = !any || i - last_loud > quiet;
    last_loud = i;
    any = true;
    if (!fresh) {
      continue;
    }
    const std::size_t end = std::min(sharp.size(), i + rise);
    const float peak = *std::max_element(sharp.begin() + static_cast<std::ptrdiff_t>(i),
                                         sharp.begin() + static_cast<std::ptrdiff_t>(end));
    // Where the click is strong, its foot lies where a tenth of the peak is passed.
    const float foot = std::max(least, 0.1F * peak);
    std::size_t at = i;
    while (at + 1 < end && sharp[at] < foot) {
      ++at;
    }
    const double early = static_cast<double>(at - i) / rate_hz;
    SoundOnset onset;
    onset.time_s = start_s + (static_cast<double>(at) - 0.5) / rate_hz - early / 2;
    onset.u_s = std::hypot(1 / rate_hz, std::max(early, 1e-4) / std::sqrt(12.0));
    onset.strength = static_cast<double>(peak / noise);
    onsets.push_back(onset);
  }
  return onsets;
}

}  // namespace thumblight::onset
