#pragma once

#include "analysis/rehearsal/settings.hpp"

namespace thumblight::rehearsal {

/// How light answers a step: a share of the step, 0 before time 0, towards 1 after it.
///
/// First order: 1 - exp(-t / tau), whose 10-90 % time is tau * ln 9 (about 2.197 tau).
/// S-curve: half a period of a cosine, (1 - cos(pi t / d)) / 2, complete at d; its 10-90 % time is
/// d * (acos(-0.8) - acos(0.8)) / pi (about 0.590 d). A rise time of 0 is a perfect step.
class StepResponse {
 public:
  StepResponse(Rise kind, double rise_10_90_s);

  double value(double t_s) const;
  /// Integral of `value` from minus infinity to t, in seconds; in closed form.
  double integral_s(double t_s) const;
  /// When the share of the step has been made.
  double time_to_s(double share) const;
  /// After this time the step counts as complete.
  double settled_s() const;

 private:
  Rise kind_;
  double scale_s_;  ///< tau or d
};

}  // namespace thumblight::rehearsal
