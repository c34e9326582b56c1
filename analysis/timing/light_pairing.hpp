#pragma once

#include <vector>

#include "analysis/timing/pairing.hpp"

namespace thumblight::timing {

/// Adds the pairs that the lights give to those that the presses gave: rows of the recording that
/// are still alone, whose light comes after a submit as the lights of the others do.
void add_pairs_by_light(const std::vector<session::Press>& log,
                        const std::vector<onset::PressTiming>& recording, const Timebase& base,
                        const SpacingFit& fit, std::vector<Pair>& pairs);

}  // namespace thumblight::timing
