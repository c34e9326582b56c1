#include "analysis/onset/step_fit.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/onset/exposure_profile.hpp"
#include "analysis/onset/model_search.hpp"
#include "analysis/onset/model_summit.hpp"
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
  const ModelClimber climber(steps.light, lamp, search, 1);
  return highest_summit(steps.few_light, lamp, climber, search);
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
      measure_misfit(steps.light, light_model(alone, search), search.interval_s);
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
  fitted.light.model = light_model(best, search);
  fitted.lamp.model = lamp_model(best, search);
  for (const ModelPoint& point : doubts) {
    add_doubt(fitted, light_model(point, search), lamp_model(point, search));
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
