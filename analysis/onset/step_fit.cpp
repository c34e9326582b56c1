#include "analysis/onset/step_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <utility>

namespace thumblight::onset {
namespace {

/// A single level may lie so far off (squared, in standard deviations) before it counts no more:
/// one spoilt frame must not drag the instant.
constexpr double kWorstSquare = 30;

constexpr int kCoarsePoints = 96;
constexpr int kFinePoints = 120;

/// The model's response for one size of place, and the likelihood of one step at one instant.
class Likelihood {
 public:
  Likelihood(const FilmedStep& step, const StepModel& model) : step_(step), model_(model) {
    for (const PlaceSeries& place : step.places) {
      const double spread_s = std::abs(model.slope_x) * place.width_px +
                              std::abs(model.slope_y) * place.height_px;
      const bool known = !responses_.empty() && std::abs(spreads_.back() - spread_s) < 1e-5;
      if (!known) {
        responses_.emplace_back(model.shape, model.exposure_s, spread_s);
        spreads_.push_back(spread_s);
      }
      response_of_.push_back(responses_.size() - 1);
    }
  }

  /// Logarithm of the likelihood that the centre's step began at `begin_s`.
  double operator()(double begin_s) const {
    double sum = 0;
    for (std::size_t i = 0; i < step_.places.size(); ++i) {
      sum += place_log(step_.places[i], responses_[response_of_[i]], begin_s);
    }
    return sum / std::max(step_.likeness, 1.0);
  }

 private:
  double place_log(const PlaceSeries& place, const EdgeResponse& response, double begin_s) const {
    const double begin = begin_s + model_.slope_x * place.x_px + model_.slope_y * place.y_px;
    const double before = place.noise_before * place.noise_before;
    const double after = place.noise_after * place.noise_after;
    const double misfit = 4 * model_.misfit * model_.misfit;
    double sum = 0;
    for (std::size_t i = 0; i < place.share.size(); ++i) {
      const double share = response(step_.start_s[i] - begin);
      const double rest = 1 - share;
      const double variance = rest * rest * before + share * share * after + share * rest * misfit;
      const double off = static_cast<double>(place.share[i]) - share;
      sum -= std::min(off * off / variance, kWorstSquare) / 2;
      // The width of the bell counts too, or a model could buy likelihood with wider doubt.
      sum -= std::log1p(share * rest * misfit / (rest * rest * before + share * share * after)) / 2;
    }
    return sum;
  }

  const FilmedStep& step_;
  const StepModel& model_;
  std::vector<EdgeResponse> responses_;
  std::vector<double> spreads_;
  std::vector<std::size_t> response_of_;
};

struct Grid {
  std::vector<double> place;
  std::vector<double> log;
  double best = 0;
};

Grid tabulate(const Likelihood& likelihood, double first, double last, int points) {
  Grid grid;
  for (int i = 0; i < points; ++i) {
    const double place = first + (last - first) * (i + 0.5) / points;
    grid.place.push_back(place);
    grid.log.push_back(likelihood(place));
  }
  grid.best = *std::max_element(grid.log.begin(), grid.log.end());
  return grid;
}

/// The part of the coarse grid that can hold the instant, one coarse step wider on both sides.
std::pair<double, double> support(const Grid& grid) {
  constexpr double kNegligible = 18;  // exp(-18) = 1.5e-8
  std::size_t first = grid.log.size();
  std::size_t last = 0;
  for (std::size_t i = 0; i < grid.log.size(); ++i) {
    if (grid.log[i] > grid.best - kNegligible) {
      first = std::min(first, i);
      last = i;
    }
  }
  const double step = grid.place[1] - grid.place[0];
  return {grid.place[first] - step, grid.place[last] + step};
}

StepInstant summarise(const Grid& grid) {
  double weight = 0;
  double mean = 0;
  for (std::size_t i = 0; i < grid.place.size(); ++i) {
    const double w = std::exp(grid.log[i] - grid.best);
    weight += w;
    mean += w * grid.place[i];
  }
  mean /= weight;
  double variance = 0;
  for (std::size_t i = 0; i < grid.place.size(); ++i) {
    const double off = grid.place[i] - mean;
    variance += std::exp(grid.log[i] - grid.best) * off * off / weight;
  }
  const double step = grid.place[1] - grid.place[0];
  StepInstant instant;
  instant.begin_s = mean;
  instant.u_s = std::sqrt(variance + step * step / 12);
  instant.likelihood = grid.best + std::log(weight * step);
  return instant;
}

/// The parameters of the search as one row of numbers.
constexpr std::size_t kExposure = 0;
constexpr std::size_t kRamp = 1;
constexpr std::size_t kDecay = 2;
constexpr std::size_t kSlopeX = 3;
constexpr std::size_t kSlopeY = 4;
constexpr std::size_t kMisfit = 5;
using Point = std::array<double, 6>;

StepModel light_model(const Point& at) {
  StepModel model;
  model.exposure_s = at[kExposure];
  model.shape = {at[kRamp], at[kDecay]};
  model.slope_x = at[kSlopeX];
  model.slope_y = at[kSlopeY];
  model.misfit = at[kMisfit];
  return model;
}

StepModel lamp_model(const Point& at) {
  StepModel model;
  model.exposure_s = at[kExposure];
  model.misfit = at[kMisfit];
  return model;
}

class Search {
 public:
  Search(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
         const ModelSearch& search)
      : light_(light), lamp_(lamp), search_(search) {
    const double frame = search.interval_s;
    low_ = {0.02 * frame, 0, 0, -1e-3, -1e-3, 0.004};
    high_ = {1.0 * frame, 0.06, 0.06, 1e-3, 1e-3, 0.08};
    free_ = {!search.exposure_s, !light.empty(), !light.empty(), search.sloped_x, search.sloped_y,
             true};
  }

  double value(const Point& at) const {
    double sum = 0;
    const StepModel light = light_model(at);
    for (const FilmedStep& step : light_) {
      sum += locate(step, light, search_.interval_s).likelihood;
    }
    const StepModel lamp = lamp_model(at);
    for (const FilmedStep& step : lamp_) {
      sum += locate(step, lamp, search_.interval_s).likelihood;
    }
    // A rise is claimed only where the levels ask for one: exposure and ramp look much alike.
    constexpr double kTold_s = 3e-4;
    sum -= 2 * (1 - std::exp(-at[kRamp] / kTold_s)) + 2 * (1 - std::exp(-at[kDecay] / kTold_s));
    // Coding leaves about a hundredth of the step; much more or less needs evidence.
    const double off = std::log(at[kMisfit] / 0.012);
    return sum - off * off / 2;
  }

  /// Walks along one parameter after another with shrinking strides until nothing helps.
  Point climb(Point at, Point stride) const {
    double best = value(at);
    for (int round = 0; round < 40; ++round) {
      const double before = best;
      for (std::size_t i = 0; i < at.size(); ++i) {
        if (free_[i]) {
          best = walk(at, stride[i], i, best);
        }
      }
      if (best - before < 0.02) {
        bool fine = true;
        for (std::size_t i = 0; i < at.size(); ++i) {
          stride[i] /= 3;
          fine = fine && (!free_[i] || stride[i] < finest(i));
        }
        if (fine) {
          break;
        }
      }
    }
    return at;
  }

  /// Half the width over which the likelihood stays within exp(-1/2) of its best.
  double doubt(const Point& at, std::size_t i) const {
    if (!free_[i]) {
      return 0;
    }
    const double best = value(at);
    double sum = 0;
    for (const double sign : {-1.0, 1.0}) {
      double reach = finest(i);
      while (best - value(moved(at, i, sign * reach)) < 0.5 && reach < high_[i] - low_[i]) {
        reach *= 1.6;
      }
      sum += std::min(reach, high_[i] - low_[i]) / 1.26;
    }
    return sum / 2;
  }

 private:
  double finest(std::size_t i) const {
    constexpr Point kFinest = {0, 2e-5, 2e-5, 2e-7, 2e-7, 1e-3};
    return i == kExposure ? 0.004 * search_.interval_s : kFinest[i];
  }

  Point moved(const Point& at, std::size_t i, double by) const {
    Point there = at;
    there[i] = std::clamp(at[i] + by, low_[i], high_[i]);
    return there;
  }

  double walk(Point& at, double stride, std::size_t i, double best) const {
    for (const double sign : {1.0, -1.0}) {
      for (int steps = 0; steps < 12; ++steps) {
        const Point there = moved(at, i, sign * stride);
        if (there[i] == at[i]) {
          break;
        }
        const double reached = value(there);
        if (reached <= best) {
          break;
        }
        best = reached;
        at = there;
      }
    }
    return best;
  }

  const std::vector<FilmedStep>& light_;
  const std::vector<FilmedStep>& lamp_;
  const ModelSearch& search_;
  Point low_{};
  Point high_{};
  std::array<bool, 6> free_{};
};

/// Enough to know the model well; more would only take time.
std::vector<FilmedStep> sample_of(const std::vector<FilmedStep>& steps) {
  constexpr std::size_t kEnough = 48;
  if (steps.size() <= kEnough) {
    return steps;
  }
  std::vector<FilmedStep> sample;
  for (std::size_t i = 0; i < kEnough; ++i) {
    sample.push_back(steps[i * steps.size() / kEnough]);
  }
  return sample;
}

double squared_shift(const FilmedStep& step, const StepModel& model, const StepModel& other,
                     double interval_s, double begin_s) {
  // The 10 % crossing is what counts, and a longer rise begins earlier for the same crossing.
  const double here = begin_s + share_time_s(model.shape, 0.1);
  const double there =
      locate(step, other, interval_s).begin_s + share_time_s(other.shape, 0.1);
  return (there - here) * (there - here);
}

}  // namespace

StepInstant locate(const FilmedStep& step, const StepModel& model, double interval_s) {
  const Likelihood likelihood(step, model);
  const double reach = 2.5 * interval_s + rise_time_s(model.shape);
  const Grid coarse =
      tabulate(likelihood, step.about_s - reach, step.about_s + reach, kCoarsePoints);
  const auto [first, last] = support(coarse);
  return summarise(tabulate(likelihood, first, last, kFinePoints));
}

FittedModel fit_model(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
                      const ModelSearch& search) {
  const std::vector<FilmedStep> some_light = sample_of(light);
  const std::vector<FilmedStep> some_lamp = sample_of(lamp);
  const Search climber(some_light, some_lamp, search);
  const double frame = search.interval_s;
  const Point stride = {0.15 * frame, 1e-3, 1e-3, 6e-6, 6e-6, 4e-3};
  Point best{};
  double best_value = 0;
  // Several starts, since exposure and rise trade against each other.
  const std::array<std::pair<double, double>, 3> starts = {
      std::pair{0.9, 0.0}, std::pair{0.45, 0.0}, std::pair{0.8, 0.003}};
  bool first = true;
  for (const auto& [share, decay_s] : starts) {
    Point at = {search.exposure_s.value_or(share * frame), 0, decay_s, 0, 0, 0.012};
    at = climber.climb(at, stride);
    const double reached = climber.value(at);
    if (first || reached > best_value) {
      best = at;
      best_value = reached;
      first = false;
    }
  }
  FittedModel fitted;
  fitted.light = light_model(best);
  fitted.lamp = lamp_model(best);
  fitted.doubt = {climber.doubt(best, kExposure), climber.doubt(best, kRamp),
                  climber.doubt(best, kDecay), climber.doubt(best, kSlopeX),
                  climber.doubt(best, kSlopeY)};
  return fitted;
}

std::vector<StepInstant> locate_all(const std::vector<FilmedStep>& steps, const StepModel& model,
                                    const ModelDoubt& doubt, double interval_s) {
  std::vector<StepModel> others;
  const auto vary = [&](double by, const std::function<void(StepModel&)>& change) {
    if (by > 0) {
      others.push_back(model);
      change(others.back());
    }
  };
  vary(doubt.exposure_s, [&](StepModel& m) {
    const double longer = m.exposure_s + doubt.exposure_s;
    m.exposure_s = longer <= interval_s ? longer : m.exposure_s - doubt.exposure_s;
  });
  vary(doubt.ramp_s, [&](StepModel& m) { m.shape.ramp_s += doubt.ramp_s; });
  vary(doubt.decay_s, [&](StepModel& m) { m.shape.decay_s += doubt.decay_s; });
  vary(doubt.slope_x, [&](StepModel& m) { m.slope_x += doubt.slope_x; });
  vary(doubt.slope_y, [&](StepModel& m) { m.slope_y += doubt.slope_y; });
  std::vector<StepInstant> instants;
  for (const FilmedStep& step : steps) {
    StepInstant instant = locate(step, model, interval_s);
    double variance = instant.u_s * instant.u_s;
    for (const StepModel& other : others) {
      variance += squared_shift(step, model, other, interval_s, instant.begin_s);
    }
    instant.u_s = std::sqrt(variance);
    instants.push_back(instant);
  }
  return instants;
}

}  // namespace thumblight::onset
