#include "analysis/rehearsal/sound_track.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace thumblight::rehearsal {

namespace {

constexpr double kSpeedOfSoundMetresPerSecond =
    343.0;  // dry air at 20 degrees C (handbook value, memory)
constexpr double kClickToneHz = 3200.0;
constexpr double kClickDecaySeconds = 0.0012;
constexpr double kClickLengthSeconds = 0.02;

}  // namespace

double SoundTrack::offset_s(const FileSettings& settings) {
  return settings.sound_offset_s + settings.air_distance_m / kSpeedOfSoundMetresPerSecond;
}

SoundTrack::SoundTrack(const Truth& truth)
    : settings_(truth.settings.file), random_(truth.settings.seed, Stream::kSound) {
  const double late_s = offset_s(settings_);
  for (const PressTruth& press : truth.presses) {
    clicks_.push_back({press.contact.recording_s + late_s, random_.uniform(0.4, 0.6)});
    clicks_.push_back({press.release.recording_s + late_s, random_.uniform(0.1, 0.2)});
  }
}

double SoundTrack::sample(double t_s) {
  double value = settings_.sound_noise * random_.normal();
  for (std::size_t k = first_; k < clicks_.size() && clicks_[k].at_s <= t_s; ++k) {
    const double age_s = t_s - clicks_[k].at_s;
    if (age_s > kClickLengthSeconds) {
      first_ = k + 1;
      continue;
    }
    value += clicks_[k].loudness * std::exp(-age_s / kClickDecaySeconds) *
             std::cos(2.0 * std::numbers::pi * kClickToneHz * age_s);
  }
  return value;
}

std::vector<double> SoundTrack::until(double t_s) {
  std::vector<double> samples;
  const double rate = settings_.sound_rate_hz;
  while (static_cast<double>(written_) / rate < t_s) {
    samples.push_back(sample(static_cast<double>(written_) / rate));
    ++written_;
  }
  return samples;
}

}  // namespace thumblight::rehearsal
