#include "analysis/report/result.hpp"

#include <cmath>
#include <span>

#include "analysis/report/portion_budget.hpp"
#include "analysis/statistics/covering.hpp"
#include "analysis/statistics/quantile.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

std::vector<std::size_t> presses_with(const timing::Split& split, Portion portion) {
  std::vector<std::size_t> presses;
  for (std::size_t k = 0; k < split.presses.size(); ++k) {
    if (split.presses[k].portions_ms[portion] && !split.presses[k].left_out) {
      presses.push_back(k);
    }
  }
  return presses;
}

/// Root mean square over the presses; empty if one of them states none.
std::optional<double> value_uncertainty(const timing::Split& split, Portion portion) {
  double squares = 0;
  double n = 0;
  for (const timing::PressSplit& press : split.presses) {
    if (!press.portions_ms[portion] || press.left_out) {
      continue;
    }
    if (!press.u_ms[portion]) {
      return std::nullopt;
    }
    squares += *press.u_ms[portion] * *press.u_ms[portion];
    n += 1;
  }
  return n > 0 ? std::optional<double>(std::sqrt(squares / n)) : std::nullopt;
}

/// What one press is resolved to, for the fences of outliers: a frame of the camera.
double resolution_ms(const onset::RecordingInfo& recording) {
  return recording.clock.rate_hz ? 1e3 / *recording.clock.rate_hz : 0;
}

statistics::Interval about(double mean, double half_width, double level) {
  return {mean - half_width, mean + half_width, level};
}

/// The trend along the session; of many presses, of the medians of equal stretches of them, since
/// every pair of points counts in it.
std::optional<statistics::Trend> course_of(const std::vector<double>& values_ms) {
  constexpr std::size_t kMostPoints = 2'000;
  const std::size_t length = (values_ms.size() + kMostPoints - 1) / kMostPoints;
  if (length <= 1) {
    return statistics::theil_sen_trend(values_ms);
  }
  std::vector<double> place;
  std::vector<double> middle_ms;
  for (std::size_t from = 0; from + length <= values_ms.size(); from += length) {
    place.push_back(static_cast<double>(from) + static_cast<double>(length - 1) / 2);
    middle_ms.push_back(*statistics::median(std::span(values_ms).subspan(from, length)));
  }
  return statistics::theil_sen_trend(place, middle_ms);
}

PortionResult portion_result(const timing::Split& split, Portion portion,
                             const onset::RecordingInfo& recording) {
  PortionResult result;
  result.presses = presses_with(split, portion);
  std::vector<double> values_ms;
  values_ms.reserve(result.presses.size());
  for (const std::size_t k : result.presses) {
    values_ms.push_back(*split.presses[k].portions_ms[portion]);
  }
  result.summary = statistics::summarise(values_ms);
  result.median_interval = statistics::interval_of_median(values_ms);
  result.outliers = statistics::flag_outliers(values_ms, resolution_ms(recording));
  result.course = course_of(values_ms);
  result.mean_bounds = split.mean_bounds_ms[portion];
  result.value_u_ms = value_uncertainty(split, portion);
  if (result.summary) {
    result.budget = portion_budget(*result.summary, result.value_u_ms, split.shared[portion],
                                   split.repeatability[portion]);
  }
  if (result.budget) {
    result.mean_interval =
        about(result.summary->mean, statistics::covering_half_width(*result.budget),
              result.budget->level);
  }
  return result;
}

void count_ways(const std::vector<onset::PressTiming>& presses, Result& result) {
  for (const onset::PressTiming& press : presses) {
    if (press.press) {
      ++result.presses_by[press.press->how];
    }
    if (press.light) {
      ++result.lights_by[press.light->how];
    }
  }
}

}  // namespace

Result make_result(timing::Split split, const onset::Timings& timings, const session::Log* log) {
  Result result;
  for (const Portion portion : timing::kPortions) {
    result.portions[portion] = portion_result(split, portion, timings.recording);
  }
  result.variation = find_variation(split);
  result.recording = timings.recording;
  result.by_hand = timings.by_hand;
  count_ways(timings.presses, result);
  if (log != nullptr) {
    result.labels = log->header.labels;
    result.pacing = log->header.pacing;
  }
  result.split = std::move(split);
  return result;
}

}  // namespace thumblight::report
