#pragma once

#include <vector>

#include "analysis/rehearsal/step_response.hpp"
#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

/// Turned on or off at a time of the bench.
struct Switching {
  double at_s = 0;
  bool on = false;
};

/// Something that is switched: a lamp, or (without a rise time) a contact. 0 is off, 1 is on.
class SwitchedLight {
 public:
  /// `switchings` in order of time, alternately on and off.
  SwitchedLight(std::vector<Switching> switchings, double rise_10_90_s);

  /// The exact mean over [from, to], in bench time.
  double mean(double from_s, double to_s) const;

 private:
  std::vector<Switching> switchings_;
  StepResponse step_;
};

std::vector<Switching> contact_switchings(const Truth& truth);
std::vector<Switching> host_lamp_switchings(const Truth& truth);

}  // namespace thumblight::rehearsal
