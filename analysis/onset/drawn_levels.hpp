#pragma once

#include "analysis/onset/filmed_steps.hpp"

namespace thumblight::onset {

/// Standard deviation of a level that a coder draws, in shares of the step: read off the heights of
/// `lamp`'s steps, which would all be the same if it drew them as they were. What moves the heights
/// of `patch` too (the camera's own exposure) is left out.
double level_error(const FilmedGroup& lamp, const FilmedGroup& patch, bool lossless);

/// Measures `group`'s levels against the full height of its steps: coders leave a level standing
/// where little is missing, so that most steps end a little low. Where light itself or the camera's
/// exposure changes from step to step, each keeps to its own height.
void share_height(FilmedGroup& group, const FilmedGroup& other);

}  // namespace thumblight::onset
