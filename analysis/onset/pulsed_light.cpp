#include "analysis/onset/pulsed_light.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>

#include "analysis/onset/level_model.hpp"
#include "analysis/onset/quantile.hpp"

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

/// The pulses of one place after a step: what was seen of each (linear light, summed over its
/// frames), and at which frame each began.
struct PulseTrain {
  std::vector<double> sums;
  std::vector<std::size_t> begins;
};

PulseTrain pulses_of(const FilmedStep& step, const PlaceSeries& place) {
  const float dark = kFaded * brightest(place);
  PulseTrain train;
  bool lit = false;
  for (std::size_t i = 0; i < place.share.size(); ++i) {
    const bool was_lit = lit;
    lit = place.share[i] > dark && step.start_s[i] > step.about_s;
    if (lit && !was_lit) {
      train.sums.push_back(0);
      train.begins.push_back(i);
    }
    if (lit) {
      train.sums.back() += place.height * static_cast<double>(place.share[i]);
    }
  }
  return train;
}

/// Mean of what is seen of a refresh's pulse, those that are not seen at all counted too; empty
/// where the pulses cannot be counted.
std::optional<double> mean_pulse(const FilmedStep& step, const PulseTrain& train) {
  constexpr std::size_t kEnough = 5;
  if (train.begins.size() < kEnough) {
    return std::nullopt;
  }
  std::vector<double> gaps_s;
  for (std::size_t i = 1; i < train.begins.size(); ++i) {
    gaps_s.push_back(step.start_s[train.begins[i]] - step.start_s[train.begins[i - 1]]);
  }
  const double all_s = step.start_s[train.begins.back()] - step.start_s[train.begins.front()];
  const double refreshes = std::round(all_s / quantile_of(gaps_s, 0.5));
  // The last pulse may be cut short by the end of the step.
  return std::accumulate(train.sums.begin(), train.sums.end() - 1, 0.0) / refreshes;
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

std::optional<Estimate> exposure_by_pulses(const FilmedGroup& group) {
  constexpr std::size_t kEnough = 20;
  constexpr double kWhole = 0.9;  // of the pulses: at least a tenth is caught whole
  constexpr double kLeast_u = 0.02;
  std::vector<double> sums;
  std::vector<double> means;
  for (const FilmedStep& step : group.steps) {
    for (const PlaceSeries& place : step.places) {
      const PulseTrain train = pulses_of(step, place);
      if (const std::optional<double> mean = mean_pulse(step, train)) {
        means.push_back(*mean);
        sums.insert(sums.end(), train.sums.begin(), train.sums.end() - 1);
      }
    }
  }
  if (means.size() < kEnough) {
    return std::nullopt;
  }
  const double whole = quantile_of(sums, kWhole);
  const auto n = static_cast<double>(means.size());
  const double mean = std::accumulate(means.begin(), means.end(), 0.0) / n;
  double squares = 0;
  for (const double each : means) {
    squares += (each - mean) * (each - mean);
  }
  // Places of one step see the same refreshes.
  const double scatter = std::sqrt(squares / n / static_cast<double>(group.steps.size()));
  return Estimate{std::min(mean / whole, 1.0), std::hypot(scatter / whole, kLeast_u)};
}

}  // namespace thumblight::onset
