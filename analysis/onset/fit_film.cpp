#include "analysis/onset/fit_film.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include "analysis/onset/drawn_levels.hpp"
#include "analysis/onset/estimate.hpp"
#include "analysis/onset/pulsed_light.hpp"

namespace thumblight::onset {
namespace {

/// Frames of a step that caught it on its way, by more than `margin` from either end.
std::ptrdiff_t half_lit_frames(const FilmedStep& step, float margin) {
  const std::vector<float>& share = step.places[0].share;
  return std::count_if(share.begin(), share.end(),
                       [margin](float each) { return each > margin && each < 1 - margin; });
}

/// The exposure of a film of pulses as a share of the interval: what is stated, or what lamps and
/// pulses tell.
Estimate exposure_of_pulses(const VideoWork& work, const ModelSearch& search) {
  if (search.exposure_s) {
    return {*search.exposure_s / search.interval_s, 0};
  }
  Estimate exposure{1, 0.29};  // rectangular, from nothing to the whole interval
  if (!work.lamp.steps.empty()) {
    const FittedModel by_lamp = fit_model({}, work.lamp.steps, search);
    exposure = {by_lamp.lamp.model.exposure_s / search.interval_s,
                by_lamp.exposure_u_s / search.interval_s};
  }
  const std::optional<Estimate> by_pulses = exposure_by_pulses(work.patch);
  return by_pulses ? joined(exposure, *by_pulses) : exposure;
}

/// Pulses are fitted by themselves, once the exposure is known.
FittedModel fit_pulses(VideoWork& work, const ModelSearch& search) {
  const Estimate share = exposure_of_pulses(work, search);
  const double exposure_s = share.value * search.interval_s;
  const double exposure_u_s = share.u * search.interval_s;
  ModelSearch known = search;
  known.exposure_s = exposure_s;
  const FittedModel by_lamp = fit_model({}, work.lamp.steps, known);
  work.patch.steps = first_pulses(work.patch, exposure_s);
  ModelSearch instant = search;
  instant.exposure_s = 0.01 * search.interval_s;
  FittedModel fitted = fit_model(work.patch.steps, {}, instant);
  // The pulse is placed to within a part of the dead time between two exposures.
  fitted.light.shared_floor_s = std::hypot(0.02 * search.interval_s, exposure_u_s);
  fitted.lamp = by_lamp.lamp;
  StepModel other = fitted.lamp.model;
  other.exposure_s = std::max(0.02 * search.interval_s, exposure_s - exposure_u_s);
  fitted.lamp.shifted.push_back(other);
  fitted.exposure_u_s = exposure_u_s;
  return fitted;
}

/// What a rise leaves open that is looked at but briefly and seldom: its shape between the looks.
/// It grows with the share of the time for which the shutter is closed, and moves all lights of a
/// film alike; the factor is what rehearsed films of short exposures scatter by.
double unseen_rise_s(double interval_s, double exposure_s) {
  constexpr double kFactor = 0.07;
  const double closed = std::max(0.0, 1 - exposure_s / interval_s);
  return kFactor * closed * closed * interval_s;
}

FittedModel fit_steady(const VideoWork& work, const ModelSearch& search) {
  FittedModel fitted = fit_model(work.patch.steps, work.lamp.steps, search);
  fitted.light.shared_floor_s = unseen_rise_s(search.interval_s, fitted.light.model.exposure_s);
  return fitted;
}

/// Doubts that the film as a whole brings: stamps rounded to ticks, light that ripples.
void add_film_doubts(VideoWork& work) {
  double ripple = 0;
  for (const FilmedStep& step : work.patch.steps) {
    const PlaceSeries& place = step.places.empty() ? PlaceSeries{} : step.places.front();
    ripple += std::max(0.0, place.noise_after - 3 * place.noise_before) /
              static_cast<double>(work.patch.steps.size());
  }
  DoubtedModel& light = work.fitted.light;
  const double length_s = light.model.exposure_s + rise_time_s(light.model.shape);
  const double rounding_s = work.film.clock.rounding_s / 12;
  light.floor_s = std::hypot(light.floor_s, std::hypot(ripple * length_s / 2, rounding_s));
  work.fitted.lamp.floor_s = std::hypot(work.fitted.lamp.floor_s, rounding_s);
}

}  // namespace

bool is_sharp(const FilmedGroup& group) {
  if (group.steps.empty()) {
    return false;
  }
  // An exposure as long as the frame catches a jump between these levels seven times in ten.
  constexpr float kMargin = 0.15F;
  constexpr double kCaught = 0.7;
  constexpr double kDeviations = 2.5;
  std::ptrdiff_t half_lit = 0;
  for (const FilmedStep& step : group.steps) {
    half_lit += half_lit_frames(step, kMargin);
  }
  const auto n = static_cast<double>(group.steps.size());
  return static_cast<double>(half_lit) <=
         n * kCaught + kDeviations * std::sqrt(n * kCaught * (1 - kCaught));
}

void fit_film(VideoWork& work, const Request& request) {
  const Film& film = work.film;
  ModelSearch search;
  search.interval_s = film.clock.interval_s;
  if (request.setup.exposure_share) {
    search.exposure_s = *request.setup.exposure_share * film.clock.interval_s;
  }
  search.sloped_x = work.patch.width_px > 0;
  search.sloped_y = work.patch.height_px > 0;
  search.lossless = film.lossless();
  search.coding_error = search.lossless ? 0.006 : 0.02;
  search.level_error = level_error(work.lamp, work.patch, search.lossless);
  work.pulsed = is_pulsed(work.patch);
  if (!search.lossless && !work.pulsed) {
    share_height(work.patch, work.lamp);
    share_height(work.lamp, work.patch);
  }
  work.fitted = work.pulsed ? fit_pulses(work, search) : fit_steady(work, search);
  add_film_doubts(work);
  work.readout =
      find_readout(film, work.patch, *work.sights.patch, work.fitted, request.setup, request.log);
}

}  // namespace thumblight::onset
