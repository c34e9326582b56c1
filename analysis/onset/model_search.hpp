#pragma once

#include <array>
#include <map>
#include <memory>
#include <mutex>
#include <vector>

#include "analysis/onset/step_fit.hpp"

namespace thumblight::onset {

/// The parameters of a recording's model as one row of numbers.
enum ModelAxis : std::size_t { kExposure, kRamp, kDecay, kSlopeX, kSlopeY, kMisfit, kModelAxes };
using ModelPoint = std::array<double, kModelAxes>;

/// A ramp or a decay well above this is a rise that the levels tell.
constexpr double kToldRise_s = 3e-4;

StepModel light_model(const ModelPoint& at, const ModelSearch& search);
StepModel lamp_model(const ModelPoint& at, const ModelSearch& search);

/// Looks for the model under which all steps together are likeliest.
class ModelClimber {
 public:
  /// `coarseness` 1 climbs to the very top, more stops earlier; the light's levels count as
  /// `temper` times less evidence than they would if all were independent.
  ModelClimber(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
               const ModelSearch& search, double coarseness, double temper = 1);

  /// Logarithm of the likelihood of all steps, each over all its instants, with mild priors.
  double value(const ModelPoint& at) const;
  /// From `at` along one axis after another with shrinking strides until nothing helps.
  ModelPoint climb(const ModelPoint& at) const;
  /// The same from a place that is known to be near the top.
  ModelPoint climb_nearby(const ModelPoint& at) const;
  /// Points one standard deviation away along the independent directions of doubt.
  std::vector<ModelPoint> doubts(const ModelPoint& at) const;

 private:
  /// A lamp knows nothing of rise and slopes, so most of a climb asks for the same value again.
  struct LampValues {
    std::mutex guard;
    std::map<double, double> of;  ///< by exposure
  };

  double lamp_value(const ModelPoint& at) const;
  ModelPoint climb(ModelPoint at, double strides) const;
  double finest(std::size_t axis) const;
  ModelPoint moved(const ModelPoint& at, std::size_t axis, double by) const;
  double walk(ModelPoint& at, double stride, std::size_t axis, double best) const;
  double stretch(ModelPoint& at, double factor, double best) const;
  double reach(const ModelPoint& at, std::size_t axis, double sign, double best) const;
  bool is_free(std::size_t axis) const { return high_[axis] > low_[axis]; }

  const std::vector<FilmedStep>& light_;
  const std::vector<FilmedStep>& lamp_;
  ModelSearch search_;
  double coarseness_;
  double temper_;
  std::shared_ptr<LampValues> lamp_values_ = std::make_shared<LampValues>();
  ModelPoint low_{};
  ModelPoint high_{};
};

}  // namespace thumblight::onset
