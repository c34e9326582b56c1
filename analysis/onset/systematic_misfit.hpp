#pragma once

#include <vector>

#include "analysis/onset/step_fit.hpp"

namespace thumblight::onset {

/// What the levels of all steps of a recording have in common that the model does not explain: a
/// panel that rises otherwise, a coder that draws every half-lit frame the same way. More steps
/// do not lessen it, so the likelihood must not be believed as if they did.
struct SystematicMisfit {
  double level = 0;   ///< root mean square of the common deviation, shares of the step
  double temper = 1;  ///< how many times too much evidence independent deviations would make of it
};

SystematicMisfit measure_misfit(const std::vector<FilmedStep>& steps, const StepModel& model,
                                double interval_s);

/// Standard deviation of the levels just after a step that jumps, beyond their noise: what the
/// coder had not yet drawn.
double settling_error(const std::vector<FilmedStep>& steps, double interval_s);

}  // namespace thumblight::onset
