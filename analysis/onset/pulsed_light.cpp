#include "analysis/onset/pulsed_light.hpp"

#include <algorithm>
#include <cstddef>

#include "analysis/onset/level_model.hpp"

namespace thumblight::onset {
namespace {

constexpr float kLit = 0.3F;     ///< of the brightest frame: the pulse has come
constexpr float kFaded = 0.06F;  ///< it has gone

float brightest(const PlaceSeries& place) {
  return *std::max_element(place.share.begin(), place.share.end());
}

/// Sums the first pulse up; false where the place shows none.
bool sum_first_pulse(PlaceSeries& place) {
  const float top = brightest(place);
  const auto first = std::find_if(place.share.begin(), place.share.end(),
                                  [top](float share) { return share > kLit * top; });
  if (top <= 0 || first == place.share.begin() || first == place.share.end()) {
    return false;
  }
  const auto last =
      std::find_if(first, place.share.end(), [top](float share) { return share < kFaded * top; });
  float total = 0;
  for (auto frame = first - 1; frame != last; ++frame) {
    total += *frame;
  }
  float sum = 0;
  for (auto frame = place.share.begin(); frame != place.share.end(); ++frame) {
    sum += frame >= first - 1 && frame < last ? *frame / total : 0;
    *frame = sum;
  }
  place.noise_before = std::max(0.02, place.noise_before / static_cast<double>(total));
  place.noise_after = place.noise_before;
  return true;
}

}  // namespace

bool is_pulsed(const FilmedGroup& group) {
  constexpr double kRestless = 0.5;
  std::size_t pulsed = 0;
  for (const FilmedStep& step : group.steps) {
    const PlaceSeries& place = step.places.front();
    std::size_t after = 0;
    std::size_t dark = 0;
    for (std::size_t i = 0; i < place.share.size(); ++i) {
      const bool later = step.start_s[i] > step.about_s + 0.02;
      after += later ? 1 : 0;
      dark += later && place.share[i] < 0.25F ? 1 : 0;
    }
    pulsed += place.noise_after > kRestless && 4 * dark > after ? 1 : 0;
  }
  return !group.steps.empty() && 2 * pulsed > group.steps.size();
}

std::vector<FilmedStep> first_pulses(const FilmedGroup& group, double exposure_s) {
  std::vector<FilmedStep> steps;
  for (const FilmedStep& pulsed : group.steps) {
    FilmedStep step = pulsed;
    step.likeness = 1;
    step.places.erase(std::remove_if(step.places.begin(), step.places.end(),
                                     [](PlaceSeries& place) { return !sum_first_pulse(place); }),
                      step.places.end());
    for (double& start_s : step.start_s) {
      start_s += exposure_s;
    }
    step.about_s = step.places.empty() ? pulsed.about_s : half_crossing_s(step);
    steps.push_back(std::move(step));
  }
  return steps;
}

}  // namespace thumblight::onset
