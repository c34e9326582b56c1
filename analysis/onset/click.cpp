#include "analysis/onset/click.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include "analysis/onset/like_times.hpp"
#include "analysis/onset/longest_delay.hpp"
#include "analysis/onset/quantile.hpp"
#include "analysis/onset/sound_onset.hpp"
#include "analysis/recording/sound_reader.hpp"

namespace thumblight::onset {
namespace {

/// Clicks come this much sooner or later before their lights than they usually do.
constexpr double kLike_s = 0.06;

/// The sound before each light, cut out while the track is read once.
struct SoundStretch {
  double from_s = 0;
  double to_s = 0;
  double start_s = 0;
  std::vector<float> samples;
};

std::vector<SoundStretch> stretches_before(const std::vector<double>& light_s, double late_s) {
  std::vector<SoundStretch> stretches;
  for (std::size_t k = 0; k < light_s.size(); ++k) {
    const double last_s = k > 0 ? light_s[k - 1] + 0.03 : 0.0;
    SoundStretch stretch;
    stretch.from_s = std::max(light_s[k] - kLongestDelay_s, last_s) + late_s;
    stretch.to_s = light_s[k] + late_s + 0.01;
    stretches.push_back(std::move(stretch));
  }
  return stretches;
}

void take(const recording::SoundReader::Block& block, int channels, double rate_hz,
          SoundStretch& stretch) {
  const std::size_t frames = block.samples.size() / static_cast<std::size_t>(channels);
  const double end_s = block.start_s + static_cast<double>(frames) / rate_hz;
  if (end_s <= stretch.from_s || block.start_s >= stretch.to_s) {
    return;
  }
  const auto first = static_cast<std::size_t>(
      std::max(0.0, std::ceil((stretch.from_s - block.start_s) * rate_hz)));
  const auto last = std::min(
      frames, static_cast<std::size_t>(std::max(0.0, (stretch.to_s - block.start_s) * rate_hz)));
  if (stretch.samples.empty()) {
    stretch.start_s = block.start_s + static_cast<double>(first) / rate_hz;
  }
  for (std::size_t i = first; i < last; ++i) {
    float sum = 0;
    for (int channel = 0; channel < channels; ++channel) {
      sum +=
          block.samples[i * static_cast<std::size_t>(channels) + static_cast<std::size_t>(channel)];
    }
    stretch.samples.push_back(sum / static_cast<float>(channels));
  }
}

void fill(const std::filesystem::path& recording, std::vector<SoundStretch>& stretches,
          double& rate_hz) {
  recording::SoundReader reader(recording);
  rate_hz = reader.rate_hz();
  recording::SoundReader::Block block;
  std::size_t next = 0;
  while (reader.next(block)) {
    while (next < stretches.size() && stretches[next].to_s < block.start_s) {
      ++next;
    }
    for (std::size_t k = next; k < stretches.size(); ++k) {
      take(block, reader.channels(), rate_hz, stretches[k]);
    }
  }
}

/// The onsets of a whole track, read a few seconds at a time.
std::vector<SoundOnset> all_onsets(const std::filesystem::path& recording) {
  constexpr double kAtOnce_s = 8;
  recording::SoundReader reader(recording);
  recording::SoundReader::Block block;
  std::vector<SoundOnset> all;
  SoundStretch stretch{-1e9, 1e9, 0, {}};
  const auto flush = [&] {
    const std::vector<SoundOnset> found =
        find_sound_onsets(stretch.samples, stretch.start_s, reader.rate_hz());
    all.insert(all.end(), found.begin(), found.end());
    stretch.samples.clear();
  };
  while (reader.next(block)) {
    take(block, reader.channels(), reader.rate_hz(), stretch);
    if (static_cast<double>(stretch.samples.size()) > kAtOnce_s * reader.rate_hz()) {
      flush();
    }
  }
  flush();
  return all;
}

}  // namespace

std::vector<Instant> find_all_clicks(const std::filesystem::path& recording,
                                     const ClickSearch& search) {
  constexpr double kFaint = 0.25;
  const std::vector<SoundOnset> onsets = all_onsets(recording);
  std::vector<double> strengths;
  strengths.reserve(onsets.size());
  for (const SoundOnset& onset : onsets) {
    strengths.push_back(onset.strength);
  }
  const double usual = quantile_of(strengths, 0.5);
  const double late_s = search.offset_s + search.distance_m / kSoundSpeed_mps;
  std::vector<Instant> presses;
  for (const SoundOnset& onset : onsets) {
    if (onset.strength >= kFaint * usual) {
      Instant press;
      press.t_s = onset.time_s - late_s;
      press.u_s = onset.u_s;
      press.how = "sound";
      presses.push_back(std::move(press));
    }
  }
  return presses;
}

std::vector<Instant> find_clicks(const std::filesystem::path& recording,
                                 const std::vector<double>& light_s, const ClickSearch& search) {
  const double late_s = search.offset_s + search.distance_m / kSoundSpeed_mps;
  std::vector<SoundStretch> stretches = stretches_before(light_s, late_s);
  double rate_hz = 0;
  fill(recording, stretches, rate_hz);
  std::vector<std::vector<SoundOnset>> onsets;
  std::vector<double> strongest_delays;
  double by_chance = 0;
  for (std::size_t k = 0; k < stretches.size(); ++k) {
    onsets.push_back(find_sound_onsets(stretches[k].samples, stretches[k].start_s, rate_hz));
    const auto strongest = std::max_element(
        onsets[k].begin(), onsets[k].end(),
        [](const SoundOnset& a, const SoundOnset& b) { return a.strength < b.strength; });
    if (strongest != onsets[k].end()) {
      strongest_delays.push_back(light_s[k] - strongest->time_s);
      by_chance += 2 * kLike_s / (stretches[k].to_s - stretches[k].from_s);
    }
  }
  if (2 * strongest_delays.size() < light_s.size() || strongest_delays.empty()) {
    return {};
  }
  by_chance /= static_cast<double>(strongest_delays.size());
  if (strongest_delays.size() >= kFewestLikeTimes &&
      !are_alike(strongest_delays, kLike_s, by_chance)) {
    return {};  // sounds there are, but they know nothing of the lights
  }
  // Among several sounds the one that comes as long before its light as clicks usually do.
  const double usual_s = quantile_of(strongest_delays, 0.5);
  std::vector<Instant> presses;
  for (std::size_t k = 0; k < onsets.size(); ++k) {
    const SoundOnset* best = nullptr;
    for (const SoundOnset& onset : onsets[k]) {
      const double off = std::abs(light_s[k] - onset.time_s - usual_s);
      if (off < kLike_s &&
          (best == nullptr || off < std::abs(light_s[k] - best->time_s - usual_s))) {
        best = &onset;
      }
    }
    if (best != nullptr) {
      Instant press;
      press.t_s = best->time_s - late_s;
      press.u_s = best->u_s;
      press.how = "sound";
      presses.push_back(std::move(press));
    }
  }
  return presses;
}

}  // namespace thumblight::onset
