#include "analysis/onset/model_search.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <future>

#include "analysis/onset/step_likelihood.hpp"

namespace thumblight::onset {

StepModel light_model(const ModelPoint& at, const ModelSearch& search) {
  StepModel model;
  model.exposure_s = at[kExposure];
  model.shape = {at[kRamp], at[kDecay]};
  model.slope_x = at[kSlopeX];
  model.slope_y = at[kSlopeY];
  model.misfit = at[kMisfit];
  // What a coder errs by, it does not trouble to mend.
  model.skipped = search.lossless ? 0 : search.level_error;
  return model;
}

StepModel lamp_model(const ModelPoint& at, const ModelSearch& search) {
  StepModel model;
  model.exposure_s = at[kExposure];
  model.misfit = search.coding_error;
  model.level_error = search.level_error;
  return model;
}

ModelClimber::ModelClimber(const std::vector<FilmedStep>& light,
                           const std::vector<FilmedStep>& lamp, const ModelSearch& search,
                           double coarseness, double temper)
    : light_(light), lamp_(lamp), search_(search), coarseness_(coarseness), temper_(temper) {
  constexpr double kSlowest_s = 0.06;
  constexpr double kSteepest = 1e-3;  // seconds a pixel
  const double rise = light.empty() ? 0 : kSlowest_s;
  const double x = search.sloped_x ? kSteepest : 0;
  const double y = search.sloped_y ? kSteepest : 0;
  const double shortest_s = search.exposure_s.value_or(0.02 * search_.interval_s);
  const double longest_s = search.exposure_s.value_or(search_.interval_s);
  low_ = {shortest_s, 0, 0, -x, -y, search.misfit.value_or(0.003)};
  high_ = {longest_s, rise, rise, x, y, search.misfit.value_or(0.08)};
}

namespace {

double sum_of_evidence(const FilmedStep* begin, const FilmedStep* end, const StepModel& model,
                       double interval_s) {
  ModelResponses responses(model);
  double sum = 0;
  for (const FilmedStep* step = begin; step != end; ++step) {
    sum += evidence_of(*step, responses, interval_s);
  }
  return sum;
}

/// Many steps are shared between two processors.
double sum_of_evidence(const std::vector<FilmedStep>& steps, const StepModel& model,
                       double interval_s) {
  constexpr std::size_t kWorthwhile = 12;
  const FilmedStep* begin = steps.data();
  const FilmedStep* end = begin + steps.size();
  if (steps.size() < kWorthwhile) {
    return sum_of_evidence(begin, end, model, interval_s);
  }
  const FilmedStep* middle = begin + steps.size() / 2;
  std::future<double> half = std::async(
      std::launch::async, [&] { return sum_of_evidence(begin, middle, model, interval_s); });
  const double rest = sum_of_evidence(middle, end, model, interval_s);
  return half.get() + rest;
}

/// A rise is claimed only where the levels ask for one: exposure and ramp look much alike.
double prior_of(const EdgeShape& shape) {
  return std::expm1(-shape.ramp_s / kToldRise_s) + 0.6 * std::expm1(-shape.decay_s / kToldRise_s);
}

}  // namespace

double ModelClimber::value(const ModelPoint& at) const {
  const StepModel model = light_model(at, search_);
  double light = sum_of_evidence(light_, model, search_.interval_s);
  // Coding leaves about a hundredth of the step; much more or less needs evidence.
  const double off = std::log(at[kMisfit] / 0.012);
  light -= off * off / 2;
  return light / temper_ + prior_of(model.shape) + lamp_value(at);
}

double ModelClimber::lamp_value(const ModelPoint& at) const {
  if (lamp_.empty()) {
    return 0;
  }
  {
    const std::lock_guard<std::mutex> lock(lamp_values_->guard);
    const auto known = lamp_values_->of.find(at[kExposure]);
    if (known != lamp_values_->of.end()) {
      return known->second;
    }
  }
  const double value = sum_of_evidence(lamp_, lamp_model(at, search_), search_.interval_s);
  const std::lock_guard<std::mutex> lock(lamp_values_->guard);
  lamp_values_->of[at[kExposure]] = value;
  return value;
}

double ModelClimber::finest(std::size_t axis) const {
  constexpr ModelPoint kFinest = {0, 2e-5, 2e-5, 2e-7, 2e-7, 1e-3};
  return coarseness_ * (axis == kExposure ? 0.004 * search_.interval_s : kFinest[axis]);
}

ModelPoint ModelClimber::moved(const ModelPoint& at, std::size_t axis, double by) const {
  ModelPoint there = at;
  there[axis] = std::clamp(at[axis] + by, low_[axis], high_[axis]);
  return there;
}

double ModelClimber::walk(ModelPoint& at, double stride, std::size_t axis, double best) const {
  for (const double sign : {1.0, -1.0}) {
    bool moved_on = false;
    for (int steps = 0; steps < 12; ++steps) {
      const ModelPoint there = moved(at, axis, sign * stride);
      const double reached = there[axis] == at[axis] ? best : value(there);
      if (reached <= best) {
        break;
      }
      best = reached;
      at = there;
      moved_on = true;
    }
    if (moved_on) {
      break;
    }
  }
  return best;
}

/// All times in proportion, or, where the exposure is given, all that is left of them.
double ModelClimber::stretch(ModelPoint& at, double factor, double best) const {
  const double pinned_s = is_free(kExposure) ? 0 : at[kExposure];
  for (const double by : {factor, 1 / factor}) {
    ModelPoint there = at;
    for (const std::size_t axis : {kExposure, kRamp, kDecay, kSlopeX, kSlopeY}) {
      there[axis] = std::clamp(at[axis] * by, low_[axis], high_[axis]);
    }
    if (pinned_s > 0) {
      const std::size_t rise = at[kDecay] > at[kRamp] ? kDecay : kRamp;
      there[kRamp] = at[kRamp];
      there[kDecay] = at[kDecay];
      there[rise] = std::clamp((pinned_s + at[rise]) * by - pinned_s, low_[rise], high_[rise]);
    }
    const double reached = value(there);
    if (reached > best) {
      best = reached;
      at = there;
    }
  }
  return best;
}

ModelPoint ModelClimber::climb(const ModelPoint& at) const {
  return climb(at, 1);
}

ModelPoint ModelClimber::climb_nearby(const ModelPoint& at) const {
  return climb(at, 0.2);
}

ModelPoint ModelClimber::climb(ModelPoint at, double strides) const {
  ModelPoint stride = {0.15 * search_.interval_s, 1e-3, 1e-3, 4e-6, 4e-6, 4e-3};
  for (double& length : stride) {
    length *= strides;
  }
  double best = value(at);
  for (int round = 0; round < 60; ++round) {
    const double before = best;
    bool fine = true;
    for (std::size_t axis = 0; axis < at.size(); ++axis) {
      if (is_free(axis)) {
        best = walk(at, stride[axis], axis, best);
        fine = fine && stride[axis] <= finest(axis);
      }
    }
    if (!light_.empty()) {
      // A single step shows all times in proportion: they must be able to move together.
      for (const double factor : {1.8, 1.35, 1.15, 1.05}) {
        best = stretch(at, factor, best);
      }
    }
    if (best - before < 0.05 * coarseness_ * coarseness_) {
      if (fine) {
        break;
      }
      for (std::size_t axis = 0; axis < at.size(); ++axis) {
        stride[axis] = std::max(stride[axis] / 3, finest(axis));
      }
    }
  }
  return at;
}

/// Doubt is read two standard deviations out, where the likelihood's small ripples count less.
namespace {
constexpr double kFall = 2;
constexpr double kOut = 2;
}  // namespace

double ModelClimber::reach(const ModelPoint& at, std::size_t axis, double sign, double best) const {
  double far = finest(axis) / 2;
  const double room = sign > 0 ? high_[axis] - at[axis] : at[axis] - low_[axis];
  while (far < room && best - value(moved(at, axis, sign * far)) < kFall) {
    far *= 1.5;
  }
  return std::min(far, room);
}

std::vector<ModelPoint> ModelClimber::doubts(const ModelPoint& at) const {
  const double best = value(at);
  std::vector<std::size_t> axes;
  std::vector<double> widths;
  std::vector<ModelPoint> points;
  for (std::size_t axis = 0; axis < kMisfit; ++axis) {
    if (!is_free(axis)) {
      continue;
    }
    const double up = reach(at, axis, 1, best);
    const double down = reach(at, axis, -1, best);
    if (std::min(up, down) < finest(axis) / 2) {
      // At its limit: doubt has one side, and half a bell is 0.6 of a whole one wide.
      points.push_back(moved(at, axis, 0.6 / kOut * (up > down ? up : -down)));
    } else {
      axes.push_back(axis);
      widths.push_back(std::min(up, down));
    }
  }
  if (axes.empty()) {
    return points;
  }
  const auto n = static_cast<Eigen::Index>(axes.size());
  Eigen::MatrixXd curvature = Eigen::MatrixXd::Identity(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const ModelPoint up = moved(at, axes[i], widths[i]);
    const ModelPoint down = moved(at, axes[i], -widths[i]);
    curvature(i, i) = std::max(2 * best - value(up) - value(down), 0.3) / (kOut * kOut);
    for (Eigen::Index j = 0; j < i; ++j) {
      const double cross =
          value(moved(up, axes[j], widths[j])) + value(moved(down, axes[j], -widths[j])) -
          value(moved(up, axes[j], -widths[j])) - value(moved(down, axes[j], widths[j]));
      curvature(i, j) = curvature(j, i) = -cross / 4 / (kOut * kOut);
    }
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver(curvature);
  for (Eigen::Index k = 0; k < n; ++k) {
    // A direction that the likelihood leaves nearly flat is cut at four widths.
    const double sigma = 1 / std::sqrt(std::max(solver.eigenvalues()(k), 1.0 / 16));
    ModelPoint point = at;
    for (Eigen::Index i = 0; i < n; ++i) {
      point = moved(point, axes[i], sigma * solver.eigenvectors()(i, k) * widths[i] / kOut);
    }
    points.push_back(point);
  }
  return points;
}

}  // namespace thumblight::onset
