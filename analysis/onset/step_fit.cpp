#include "analysis/onset/step_fit.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <future>
#include <utility>

#include "analysis/onset/exposure_profile.hpp"
#include "analysis/onset/model_search.hpp"
#include "analysis/onset/model_starts.hpp"
#include "analysis/onset/step_likelihood.hpp"
#include "analysis/onset/step_posterior.hpp"
#include "analysis/onset/systematic_misfit.hpp"

namespace thumblight::onset {
namespace {

/// Enough to know the model well; more would only take time.
std::vector<FilmedStep> sample_of(const std::vector<FilmedStep>& steps, std::size_t enough) {
  if (steps.size() <= enough) {
    return steps;
  }
  std::vector<FilmedStep> sample;
  sample.reserve(enough);
  for (std::size_t i = 0; i < enough; ++i) {
    sample.push_back(steps[i * steps.size() / enough]);
  }
  return sample;
}

/// A model and the logarithm of its likelihood.
using Valued = std::pair<double, ModelPoint>;

void keep_better(const ModelClimber& climber, const ModelPoint& at, Valued& best) {
  const double value = climber.value(at);
  best = value > best.first ? Valued{value, at} : best;
}

/// The light's places lie at most this far from the centre.
double reach_of(const std::vector<FilmedStep>& light) {
  double reach_px = 1;
  for (const FilmedStep& step : light) {
    for (const PlaceSeries& place : step.places) {
      reach_px = std::max({reach_px, std::abs(place.x_px), std::abs(place.y_px)});
    }
  }
  return reach_px;
}

/// By how much slopes are varied: the outermost places then move by a part of the exposure.
double slope_stride(const ModelPoint& at, double reach_px) {
  return 0.3 * at[kExposure] / reach_px;
}

/// Tries slopes beside the guess, which dead time between exposures may have led astray.
void scan_slope(const ModelClimber& climber, ModelAxis axis, double stride, Valued& best) {
  const ModelPoint centre = best.second;
  for (int i = -9; i <= 9; ++i) {
    ModelPoint at = centre;
    at[axis] += i * stride;
    keep_better(climber, at, best);
  }
}

/// The best place to climb from that has another slope than `summit`, at its exposure or at others.
ModelPoint beside(const ModelClimber& climber, const ModelPoint& summit, ModelAxis axis,
                  double stride, double interval_s) {
  Valued best{-1e300, summit};
  for (const double scale : {0.6, 1.0, 1.6}) {
    for (const int strides : {-9, -7, -5, -3, -2, 2, 3, 5, 7, 9}) {
      ModelPoint at = summit;
      at[kExposure] = std::min(scale * summit[kExposure], interval_s);
      at[axis] += strides * stride;
      keep_better(climber, at, best);
    }
  }
  return best.second;
}

/// A summit of another slope may be the higher one: climbs from beside it.
void look_beside(const ModelClimber& rough, const ModelClimber& fine, const ModelSearch& search,
                 double reach_px, Valued& best) {
  const ModelPoint summit = best.second;
  const double stride = slope_stride(summit, reach_px);
  for (const ModelAxis axis : {kSlopeX, kSlopeY}) {
    if (axis == kSlopeX ? search.sloped_x : search.sloped_y) {
      const ModelPoint from = beside(rough, summit, axis, stride, search.interval_s);
      keep_better(fine, rough.climb(from), best);
    }
  }
}

/// The best of several climbs, since exposure and rise trade against each other and dead time
/// makes false summits. `rough` knows few steps and is quick, `fine` decides.
ModelPoint best_start(const ModelClimber& rough, const ModelClimber& fine,
                      const std::vector<FilmedStep>& light, const ModelSearch& search) {
  const double reach_px = reach_of(light);
  std::vector<Valued> starts;
  for (const ModelPoint& at : model_starts(light, search)) {
    starts.emplace_back(rough.value(at), at);
  }
  std::sort(starts.begin(), starts.end(),
            [](const auto& a, const auto& b) { return a.first > b.first; });
  constexpr std::size_t kClimbs = 4;
  starts.resize(std::min(starts.size(), kClimbs));
  const auto climb_from = [&](Valued local) {
    const double stride = slope_stride(local.second, reach_px);
    if (search.sloped_x) {
      scan_slope(rough, kSlopeX, stride, local);
    }
    if (search.sloped_y) {
      scan_slope(rough, kSlopeY, stride, local);
    }
    const ModelPoint summit = rough.climb(local.second);
    return Valued{fine.value(summit), summit};
  };
  // Decoding is over by now: the climbs share the processors.
  std::vector<std::future<Valued>> climbs;
  climbs.reserve(starts.size());
  for (const auto& start : starts) {
    climbs.push_back(std::async(std::launch::async, climb_from, start));
  }
  Valued best{-1e300, {}};
  for (auto& climb : climbs) {
    const Valued reached = climb.get();
    best = reached.first > best.first ? reached : best;
  }
  look_beside(rough, fine, search, reach_px, best);
  return best.second;
}

/// A ramp and an exposure can stand for each other: the plain explanation gets its chance.
ModelPoint prefer_plain(const ModelClimber& climber, ModelPoint at, const ModelSearch& search) {
  if (search.exposure_s || at[kRamp] <= 0) {
    return at;
  }
  ModelPoint plain = at;
  // Boxes and triangles of one variance look alike.
  const double width_s = std::hypot(at[kExposure], at[kRamp] / std::sqrt(2.0));
  plain[kExposure] = std::min(width_s, search.interval_s);
  plain[kRamp] = 0;
  plain = climber.climb(plain);
  return climber.value(plain) > climber.value(at) ? plain : at;
}

/// Enough of all steps to know the model by.
struct Samples {
  std::vector<FilmedStep> light;
  std::vector<FilmedStep> few_light;  ///< for a quick look
  std::vector<FilmedStep> lamp;
};

/// The light's own best model, or the lamps' where there is no light. Lamps tell the exposure
/// alone, which is weighed once this is known; a stated one comes in then too, since with all times
/// free the climb meets fewer false summits.
ModelPoint best_alone(const Samples& steps, ModelSearch search) {
  search.exposure_s.reset();
  const std::vector<FilmedStep> none;
  const std::vector<FilmedStep>& lamp = steps.light.empty() ? steps.lamp : none;
  const ModelClimber rough(steps.few_light, lamp, search, 4);
  const ModelClimber climber(steps.light, lamp, search, 1);
  const ModelPoint start = best_start(rough, climber, steps.few_light, search);
  return prefer_plain(climber, climber.climb(start), search);
}

/// An exposure one standard deviation away, on the side where there is room.
double other_exposure_s(const ExposureProfile& profile, double interval_s) {
  const double sign = profile.exposure_s + profile.u_s > interval_s ? -1 : 1;
  return std::clamp(profile.exposure_s + sign * profile.u_s, 0.02 * interval_s, interval_s);
}

/// Adds a model one standard deviation away to those that carry the doubt.
void add_doubt(FittedModel& fitted, const StepModel& light, const StepModel& lamp) {
  const StepModel& best = fitted.light.model;
  const auto add = [](double& u, double shift) { u = std::hypot(u, shift); };
  add(fitted.exposure_u_s, light.exposure_s - best.exposure_s);
  add(fitted.rise_u_s, rise_time_s(light.shape) - rise_time_s(best.shape));
  add(fitted.slope_x_u, light.slope_x - best.slope_x);
  add(fitted.slope_y_u, light.slope_y - best.slope_y);
  fitted.light.shifted.push_back(light);
  if (lamp.exposure_s != fitted.lamp.model.exposure_s) {
    fitted.lamp.shifted.push_back(lamp);  // rise and slopes are nothing to it
  }
}

/// Errors of the levels that all steps share: coders draw half-lit frames towards the frame before
/// them, codes are rounded, and no panel rises quite as the model does.
void add_level_doubts(DoubtedModel& model, double error) {
  for (const LevelError& supposed : {LevelError{error, 0}, LevelError{0, error}}) {
    StepModel shifted = model.model;
    shifted.error = supposed;
    model.shifted.push_back(shifted);
  }
}

StepPosterior posterior_of(const FilmedStep& step, const StepLikelihood& likelihood,
                           const ModelResponses& responses, double interval_s) {
  // The first guess is where half of the step is seen, a rise and an exposure after its beginning.
  const double reach = 0.004 + 2.5 * interval_s + rise_time_s(responses.model().shape);
  return {likelihood, step.about_s - reach, step.about_s + reach};
}

double ten_percent_s(const FilmedStep& step, ModelResponses& responses, double interval_s) {
  return locate(step, responses, interval_s).begin_s + share_time_s(responses.model().shape, 0.1);
}

}  // namespace

StepInstant locate(const FilmedStep& step, ModelResponses& responses, double interval_s) {
  const StepLikelihood likelihood(step, responses);
  return posterior_of(step, likelihood, responses, interval_s).summary();
}

double evidence_of(const FilmedStep& step, ModelResponses& responses, double interval_s) {
  const StepLikelihood likelihood(step, responses);
  return posterior_of(step, likelihood, responses, interval_s).evidence();
}

FittedModel fit_model(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
                      const ModelSearch& asked) {
  ModelSearch search = asked;
  search.coding_error = std::hypot(asked.coding_error / 2, settling_error(lamp, search.interval_s));
  const Samples steps{sample_of(light, 16), sample_of(light, 8), sample_of(lamp, 80)};
  const ModelPoint alone = best_alone(steps, search);
  // What the model cannot explain in any step is no evidence, however many steps show it.
  const SystematicMisfit misfit =
      measure_misfit(steps.light, light_model(alone, search.topped), search.interval_s);
  const auto alike = static_cast<double>(steps.light.size());
  const double temper = asked.lossless ? misfit.temper : std::max(misfit.temper, alike / 4);
  const auto pinned_at = [&](double exposure_s) {
    ModelSearch pinned = search;
    pinned.exposure_s = exposure_s;
    return ModelClimber(steps.light, steps.lamp, pinned, 1, temper);
  };
  const ExposureProfile profile = weigh_exposures(steps.light, steps.lamp, search, alone, temper);
  const ModelPoint best = pinned_at(profile.exposure_s).climb_nearby(profile.at);
  std::vector<ModelPoint> doubts = pinned_at(best[kExposure]).doubts(best);
  if (!search.exposure_s) {
    ModelPoint other = best;
    other[kExposure] = other_exposure_s(profile, search.interval_s);
    doubts.push_back(pinned_at(other[kExposure]).climb_nearby(other));
  }
  FittedModel fitted;
  fitted.light.model = light_model(best, search.topped);
  fitted.lamp.model = lamp_model(best, search);
  for (const ModelPoint& point : doubts) {
    add_doubt(fitted, light_model(point, search.topped), lamp_model(point, search));
  }
  add_level_doubts(fitted.light, std::hypot(0.5 * asked.coding_error, misfit.level));
  add_level_doubts(fitted.lamp, 0.7 * search.level_error);
  return fitted;
}

LocatedSteps locate_all(const std::vector<FilmedStep>& steps, const DoubtedModel& model,
                        double interval_s) {
  ModelResponses responses(model.model);
  std::vector<ModelResponses> shifted(model.shifted.begin(), model.shifted.end());
  std::vector<double> sums(shifted.size(), 0);
  LocatedSteps located;
  located.shared_u_s = model.shared_floor_s;
  for (const FilmedStep& step : steps) {
    StepInstant instant = locate(step, responses, interval_s);
    const double here_s = instant.begin_s + share_time_s(model.model.shape, 0.1);
    double variance = instant.u_s * instant.u_s + model.floor_s * model.floor_s +
                      model.shared_floor_s * model.shared_floor_s;
    for (std::size_t k = 0; k < shifted.size(); ++k) {
      const double shift = ten_percent_s(step, shifted[k], interval_s) - here_s;
      variance += shift * shift;
      sums[k] += shift;
    }
    instant.u_s = std::sqrt(variance);
    located.instants.push_back(instant);
  }
  const double count = std::max<double>(1, static_cast<double>(steps.size()));
  for (const double sum : sums) {
    located.shared_u_s = std::hypot(located.shared_u_s, sum / count);
  }
  return located;
}

}  // namespace thumblight::onset
