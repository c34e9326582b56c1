#pragma once

#include <vector>

#include "analysis/onset/step_likelihood.hpp"

namespace thumblight::onset {

/// The likelihood over the instants at which a step may have begun, sampled closely where it is
/// high, and what it says of the instant.
class StepPosterior {
 public:
  StepPosterior(const StepLikelihood& likelihood, double first, double last);

  /// The mean; u_s such that the mean +- 2 u_s holds 95.45 % of the likelihood, which for a bell is
  /// the standard deviation and for the flat stretch of a dead time 0.83 of it.
  StepInstant summary() const;

  /// Logarithm of the likelihood summed over all instants: how well the model explains the step.
  double evidence() const;

 private:
  struct Sample {
    double place = 0;
    double log = 0;
    double weight = 0;  ///< relative to the best, once weighed
    bool operator<(const Sample& other) const { return place < other.place; }
  };

  void take(double place);
  void sort();
  void merge_from(std::size_t added);
  void weigh();
  std::vector<std::size_t> peaks() const;
  void climb(double low, double high);
  void refine();
  double mass(std::size_t i) const;
  double total() const;

  const StepLikelihood& likelihood_;
  std::vector<Sample> samples_;
  double best_ = -1e300;
};

}  // namespace thumblight::onset
