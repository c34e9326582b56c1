#pragma once

#include "analysis/timing/split.hpp"

namespace thumblight::timing {

/// Whether the lights come before the flips that the split took, beyond all that is doubtful of
/// both, so that these are none: by the means of screen and remainder where they are known, or
/// because no offset of the clocks lets every light come after its flip.
bool are_flips_too_late(const Split& split);

}  // namespace thumblight::timing
