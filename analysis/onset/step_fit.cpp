#include "analysis/onset/step_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <future>
#include <utility>

#include "analysis/onset/model_search.hpp"
#include "analysis/onset/step_likelihood.hpp"

namespace thumblight::onset {
namespace {

struct Sample {
  double place = 0;
  double log = 0;
};

/// The likelihood over the instants, sampled closely where it is high.
class Posterior {
 public:
  Posterior(const StepLikelihood& likelihood, double first, double last) : likelihood_(likelihood) {
    constexpr int kCoarse = 56;
    for (int i = 0; i < kCoarse; ++i) {
      take(first + (last - first) * (i + 0.5) / kCoarse);
    }
    add_candidates(first, last);
    sort();
    for (const std::size_t peak : peaks()) {
      refine(peak);
    }
    sort();
  }

  StepInstant summary() const;

 private:
  double take(double place) {
    samples_.push_back({place, likelihood_(place)});
    return samples_.back().log;
  }

  void sort() {
    std::sort(samples_.begin(), samples_.end(),
              [](const Sample& a, const Sample& b) { return a.place < b.place; });
  }

  void add_candidates(double first, double last) {
    constexpr std::size_t kMost = 8;
    const std::vector<double> all = likelihood_.candidates();
    const std::size_t stride = all.size() / kMost + 1;
    for (std::size_t i = 0; i < all.size(); i += stride) {
      if (all[i] > first && all[i] < last) {
        take(all[i]);
      }
    }
  }

  /// The best local maxima, at most three.
  std::vector<std::size_t> peaks() const {
    constexpr double kHopeless = 20;
    std::vector<std::size_t> found;
    for (std::size_t i = 1; i + 1 < samples_.size(); ++i) {
      if (samples_[i].log >= samples_[i - 1].log && samples_[i].log > samples_[i + 1].log) {
        found.push_back(i);
      }
    }
    std::sort(found.begin(), found.end(),
              [this](std::size_t a, std::size_t b) { return samples_[a].log > samples_[b].log; });
    while (found.size() > 3 ||
           (found.size() > 1 && samples_[found.back()].log < samples_[found[0]].log - kHopeless)) {
      found.pop_back();
    }
    return found;
  }

  /// The top between two samples, by golden section.
  double climb(double low, double high) const {
    constexpr double kGolden = 0.381966;
    double a = low + kGolden * (high - low);
    double b = high - kGolden * (high - low);
    double log_a = likelihood_(a);
    double log_b = likelihood_(b);
    for (int i = 0; i < 9; ++i) {
      if (log_a > log_b) {
        high = b;
        b = a;
        log_b = log_a;
        a = low + kGolden * (high - low);
        log_a = likelihood_(a);
      } else {
        low = a;
        a = b;
        log_a = log_b;
        b = high - kGolden * (high - low);
        log_b = likelihood_(b);
      }
    }
    return (low + high) / 2;
  }

  /// How far from `top` the likelihood has sunk by two.
  double fall(double top, double log_top, double sign, double most) const {
    double far = 3e-6;
    while (far < most && log_top - likelihood_(top + sign * far) < 2) {
      far *= 2.5;
    }
    double near = far / 2.5;
    for (int i = 0; i < 3; ++i) {
      const double middle = (near + far) / 2;
      (log_top - likelihood_(top + sign * middle) < 2 ? near : far) = middle;
    }
    return far;
  }

  void refine(std::size_t peak) {
    const double low = samples_[peak - 1].place;
    const double high = samples_[peak + 1].place;
    double top = climb(low, high);
    double log_top = likelihood_(top);
    if (log_top < samples_[peak].log) {
      top = samples_[peak].place;
      log_top = samples_[peak].log;
    }
    constexpr int kPoints = 24;
    for (const double sign : {-1.0, 1.0}) {
      const double width = 2.3 * fall(top, log_top, sign, 4 * (high - low));
      for (int i = 0; i < kPoints; ++i) {
        extra_.push_back(top + sign * width * (i + 0.5) / kPoints);
      }
    }
    for (const double place : extra_) {
      take(place);
    }
    extra_.clear();
  }

  const StepLikelihood& likelihood_;
  std::vector<Sample> samples_;
  std::vector<double> extra_;
};

StepInstant Posterior::summary() const {
  double best = -1e300;
  for (const Sample& sample : samples_) {
    best = std::max(best, sample.log);
  }
  std::vector<double> weights(samples_.size(), 0);
  double total = 0;
  double mean = 0;
  for (std::size_t i = 1; i + 1 < samples_.size(); ++i) {
    const double width = (samples_[i + 1].place - samples_[i - 1].place) / 2;
    weights[i] = width * std::exp(samples_[i].log - best);
    total += weights[i];
    mean += weights[i] * samples_[i].place;
  }
  mean /= total;
  double variance = 0;
  for (std::size_t i = 0; i < samples_.size(); ++i) {
    const double off = samples_[i].place - mean;
    variance += weights[i] * off * off / total;
  }
  return {mean, std::sqrt(variance), best + std::log(total)};
}

/// Enough to know the model well; more would only take time.
std::vector<FilmedStep> sample_of(const std::vector<FilmedStep>& steps, std::size_t enough) {
  if (steps.size() <= enough) {
    return steps;
  }
  std::vector<FilmedStep> sample;
  for (std::size_t i = 0; i < enough; ++i) {
    sample.push_back(steps[i * steps.size() / enough]);
  }
  return sample;
}

/// When the step's own light has its mean, from the levels summed over the frames.
double mean_time_s(const FilmedStep& step, const PlaceSeries& place) {
  double time_s = step.start_s.front();
  for (std::size_t i = 0; i + 1 < step.start_s.size(); ++i) {
    const double share = std::clamp(static_cast<double>(place.share[i]), 0.0, 1.0);
    time_s += (1 - share) * (step.start_s[i + 1] - step.start_s[i]);
  }
  return time_s;
}

/// A first guess at the slopes: a straight line through the places' mean times.
std::pair<double, double> guess_slopes(const std::vector<FilmedStep>& steps) {
  double xx = 1e-9;
  double yy = 1e-9;
  double xt = 0;
  double yt = 0;
  for (const FilmedStep& step : steps) {
    double mean = 0;
    for (const PlaceSeries& place : step.places) {
      mean += mean_time_s(step, place) / static_cast<double>(step.places.size());
    }
    for (const PlaceSeries& place : step.places) {
      const double late_s = mean_time_s(step, place) - mean;
      xx += place.x_px * place.x_px;
      yy += place.y_px * place.y_px;
      xt += place.x_px * late_s;
      yt += place.y_px * late_s;
    }
  }
  return {xt / xx, yt / yy};
}

/// Tries slopes beside the guess, which dead time between exposures may have led astray.
void scan_slope(const ModelClimber& climber, ModelAxis axis, double stride,
                std::pair<double, ModelPoint>& best) {
  const ModelPoint centre = best.second;
  for (int i = -9; i <= 9; ++i) {
    ModelPoint at = centre;
    at[axis] += i * stride;
    const double value = climber.value(at);
    best = value > best.first ? std::pair{value, at} : best;
  }
}

/// The best of several climbs, since exposure and rise trade against each other and dead time
/// makes false summits. `rough` knows few steps and is quick, `fine` decides.
ModelPoint best_start(const ModelClimber& rough, const ModelClimber& fine,
                      const std::vector<FilmedStep>& light, const ModelSearch& search) {
  const double frame = search.interval_s;
  const auto [slope_x, slope_y] = guess_slopes(light);
  double reach_px = 1;
  for (const FilmedStep& step : light) {
    for (const PlaceSeries& place : step.places) {
      reach_px = std::max({reach_px, std::abs(place.x_px), std::abs(place.y_px)});
    }
  }
  constexpr std::array<std::pair<double, double>, 4> kStarts = {
      std::pair{0.95, 0.0}, std::pair{0.6, 0.0}, std::pair{0.25, 0.0}, std::pair{0.8, 0.004}};
  const auto climb_from = [&, slope_x = slope_x, slope_y = slope_y](double share, double decay_s) {
    const ModelPoint at = {search.exposure_s.value_or(share * frame),
                           0,
                           light.empty() ? 0 : decay_s,
                           search.sloped_x ? slope_x : 0,
                           search.sloped_y ? slope_y : 0,
                           0.012};
    std::pair<double, ModelPoint> local{rough.value(at), at};
    const double stride = 0.3 * at[kExposure] / reach_px;
    if (search.sloped_x) {
      scan_slope(rough, kSlopeX, stride, local);
    }
    if (search.sloped_y) {
      scan_slope(rough, kSlopeY, stride, local);
    }
    const ModelPoint summit = rough.climb(local.second);
    return std::pair{fine.value(summit), summit};
  };
  // Decoding is over by now: the climbs share the processors.
  std::vector<std::future<std::pair<double, ModelPoint>>> climbs;
  for (const auto& [share, decay_s] : kStarts) {
    climbs.push_back(std::async(std::launch::async, climb_from, share, decay_s));
  }
  std::pair<double, ModelPoint> best{-1e300, {}};
  for (auto& climb : climbs) {
    const std::pair<double, ModelPoint> reached = climb.get();
    best = reached.first > best.first ? reached : best;
  }
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

double ten_percent_s(const FilmedStep& step, ModelResponses& responses, double interval_s) {
  return locate(step, responses, interval_s).begin_s + share_time_s(responses.model().shape, 0.1);
}

}  // namespace

StepInstant locate(const FilmedStep& step, ModelResponses& responses, double interval_s) {
  const StepLikelihood likelihood(step, responses);
  // The first guess is where half of the step is seen, a rise and an exposure after its beginning.
  const double reach = 0.004 + 2.5 * interval_s + rise_time_s(responses.model().shape);
  return Posterior(likelihood, step.about_s - reach, step.about_s + reach).summary();
}

FittedModel fit_model(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
                      const ModelSearch& search) {
  const std::vector<FilmedStep> some_light = sample_of(light, 24);
  const std::vector<FilmedStep> some_lamp = sample_of(lamp, 80);
  const std::vector<FilmedStep> few_light = sample_of(light, 9);
  const std::vector<FilmedStep> few_lamp = sample_of(lamp, 40);
  const ModelClimber rough(few_light, few_lamp, search, 4);
  const ModelClimber climber(some_light, some_lamp, search, 1);
  const ModelPoint best =
      prefer_plain(climber, climber.climb(best_start(rough, climber, few_light, search)), search);
  FittedModel fitted;
  fitted.light.model = light_model(best);
  fitted.lamp.model = lamp_model(best, search.coding_error);
  const double rise_s = rise_time_s(fitted.light.model.shape);
  // Coders draw half-lit frames towards the frame before them, all in one direction, and no panel
  // rises quite as the model does. The size is what was left over in films of known truth.
  const double error = 0.6 * std::max(search.coding_error, 1.5 * best[kMisfit]);
  fitted.light.floor_s = error * (fitted.light.model.exposure_s + 1.25 * rise_s);
  fitted.lamp.floor_s = 0.25 * error * fitted.lamp.model.exposure_s;
  for (const ModelPoint& point : climber.doubts(best)) {
    const StepModel shifted = light_model(point);
    fitted.light.shifted.push_back(shifted);
    fitted.lamp.shifted.push_back(lamp_model(point, search.coding_error));
    const auto add = [](double& u, double shift) { u = std::hypot(u, shift); };
    add(fitted.exposure_u_s, shifted.exposure_s - best[kExposure]);
    add(fitted.rise_u_s, rise_time_s(shifted.shape) - rise_s);
    add(fitted.slope_x_u, shifted.slope_x - best[kSlopeX]);
    add(fitted.slope_y_u, shifted.slope_y - best[kSlopeY]);
  }
  return fitted;
}

std::vector<StepInstant> locate_all(const std::vector<FilmedStep>& steps, const DoubtedModel& model,
                                    double interval_s) {
  ModelResponses responses(model.model);
  std::vector<ModelResponses> shifted(model.shifted.begin(), model.shifted.end());
  std::vector<StepInstant> instants;
  for (const FilmedStep& step : steps) {
    StepInstant instant = locate(step, responses, interval_s);
    const double here_s = instant.begin_s + share_time_s(model.model.shape, 0.1);
    double variance = instant.u_s * instant.u_s + model.floor_s * model.floor_s;
    for (ModelResponses& other : shifted) {
      const double shift = ten_percent_s(step, other, interval_s) - here_s;
      variance += shift * shift;
    }
    instant.u_s = std::sqrt(variance);
    instants.push_back(instant);
  }
  return instants;
}

}  // namespace thumblight::onset
