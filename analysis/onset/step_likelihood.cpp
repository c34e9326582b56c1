#include "analysis/onset/step_likelihood.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::onset {
namespace {

/// Squared deviation, in variances, tamed so that one spoilt frame cannot drag the instant.
double tamed(double square, double variance) {
  constexpr double kWorst = 60;
  return kWorst * square / (kWorst * variance + square);
}

/// How likely a level that misses the end by `rest` is drawn as the end already, by a coder that
/// skips differences below about `skipped`.
double chance_of_end(double rest, double skipped) {
  constexpr double kFar = 4;
  if (rest >= kFar * skipped) {
    return 0;
  }
  return std::exp(-rest * rest / (2 * skipped * skipped));
}

/// Density of a level that is `off` its expectation, up to a factor.
double bell(double off, double variance) {
  return std::exp(-tamed(off * off, variance) / 2) / std::sqrt(variance);
}

/// Standard deviation of a half-lit level whose coder errs by `error` in full levels. It errs by so
/// many codes; a code means more light where there is much, and less where there is little.
double error_at(double share, double error) {
  return error * (0.6 + 0.9 * share);
}

}  // namespace

const EdgeResponse& ModelResponses::for_place(const PlaceSeries& place) {
  const double spread_s =
      std::abs(model_.slope_x) * place.width_px + std::abs(model_.slope_y) * place.height_px;
  for (const Entry& entry : entries_) {
    if (std::abs(entry.spread_s - spread_s) < 5e-6) {
      return entry.response;
    }
  }
  entries_.push_back({spread_s, EdgeResponse(model_.shape, model_.exposure_s, spread_s)});
  entries_.back().response.distort(model_.error.low, model_.error.high);
  return entries_.back().response;
}

StepLikelihood::StepLikelihood(const FilmedStep& step, ModelResponses& responses)
    : step_(step),
      misfit_variance_(4 * responses.model().misfit * responses.model().misfit),
      skipped_(responses.model().skipped),
      level_error_(responses.model().level_error) {
  for (const PlaceSeries& series : step.places) {
    add_place(series, responses);
  }
}

void StepLikelihood::add_place(const PlaceSeries& series, ModelResponses& responses) {
  const StepModel& model = responses.model();
  Place place;
  place.series = &series;
  place.response = &responses.for_place(series);
  place.lag_s = model.slope_x * series.x_px + model.slope_y * series.y_px;
  place.variance_before = series.noise_before * series.noise_before;
  // Coding leaves its mark on the frames after a step too, until the next full picture.
  place.variance_after = series.noise_after * series.noise_after + misfit_variance_ / 16;
  place.variance_first = place.variance_after + misfit_variance_;
  const std::size_t frames = series.share.size();
  const double log_before = std::log(place.variance_before);
  const double log_after = std::log(place.variance_after);
  const double log_first = std::log(place.variance_first);
  place.cost_before.assign(frames + 1, 0);
  place.cost_after.assign(frames + 1, 0);
  place.cost_first.assign(frames + 1, 0);
  for (std::size_t i = 0; i < frames; ++i) {
    const double share = static_cast<double>(series.share[i]);
    place.cost_before[i + 1] =
        place.cost_before[i] + log_before + tamed(share * share, place.variance_before);
  }
  for (std::size_t i = frames; i-- > 0;) {
    const double rest = series.settled - static_cast<double>(series.share[i]);
    place.cost_after[i] =
        place.cost_after[i + 1] + log_after + tamed(rest * rest, place.variance_after);
    place.cost_first[i] =
        place.cost_after[i + 1] + log_first + tamed(rest * rest, place.variance_first);
  }
  places_.push_back(std::move(place));
}

std::size_t StepLikelihood::first_frame_from(double time_s) const {
  return static_cast<std::size_t>(
      std::lower_bound(step_.start_s.begin(), step_.start_s.end(), time_s) - step_.start_s.begin());
}

std::vector<double> StepLikelihood::candidates(std::size_t most) const {
  constexpr float kDark = 0.02F;
  constexpr float kBright = 0.98F;
  std::vector<double> met;
  std::vector<double> cliffs;
  for (const Place& place : places_) {
    for (std::size_t i = 0; i < place.series->share.size(); ++i) {
      const float share = place.series->share[i];
      if (share > kDark && share < kBright) {
        met.push_back(step_.start_s[i] - place.response->start_of(share) - place.lag_s);
      }
      const double start_s = step_.start_s[i] - place.lag_s;
      if (std::abs(start_s - step_.about_s) < 0.012) {
        cliffs.push_back(start_s - place.response->first_s());
        cliffs.push_back(start_s - place.response->last_s());
      }
    }
  }
  std::vector<double> instants;
  for (const std::vector<double>* all : {&met, &cliffs}) {
    const std::size_t stride = all->size() / most + 1;
    for (std::size_t i = 0; i < all->size(); i += stride) {
      instants.push_back((*all)[i]);
    }
  }
  return instants;
}

double StepLikelihood::cost(const Place& place, double begin_s) const {
  const EdgeResponse& response = *place.response;
  const std::size_t first = first_frame_from(begin_s + response.first_s());
  const std::size_t last = first_frame_from(begin_s + response.last_s());
  const double settled = place.series->settled;
  double sum = place.cost_before[first] + place.cost_first[last];
  double product = 1;
  for (std::size_t i = first; i < last; ++i) {
    const double share = response(step_.start_s[i] - begin_s);
    const double rest = 1 - share;
    // The width of the bell counts too, or a model could buy likelihood with wider doubt.
    const double drawn = error_at(share, level_error_);
    const double variance = rest * rest * place.variance_before +
                            share * share * place.variance_after + share * rest * misfit_variance_ +
                            drawn * drawn;
    const double level = static_cast<double>(place.series->share[i]);
    const double off = level - std::min(share, settled);
    if (const double ended = chance_of_end(rest, skipped_); ended > 0) {
      sum -= 2 * std::log(ended * bell(level - settled, place.variance_after) +
                          (1 - ended) * bell(off, variance));
      continue;
    }
    sum += tamed(off * off, variance);
    product *= variance;
    // One logarithm for many frames; taken before the product runs out of a double's range.
    if (product < 1e-250) {
      sum += std::log(product);
      product = 1;
    }
  }
  return sum + std::log(product);
}

double StepLikelihood::operator()(double begin_s) const {
  double sum = 0;
  for (const Place& place : places_) {
    sum += cost(place, begin_s + place.lag_s);
  }
  return -sum / 2 / std::max(step_.likeness, 1.0);
}

}  // namespace thumblight::onset
