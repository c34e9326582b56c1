#pragma once

#include <vector>

#include "analysis/timing/spacing.hpp"

namespace thumblight::timing {

/// How far two deliveries of one input differ at the most; a press beyond it is left for the
/// lights.
inline constexpr double kStepToleranceSeconds = 0.030;

/// Chains of matches, one for each offset that the events agree on, the best agreed first. A chain
/// begins at one host and one recording event taken for the same; it is followed from event to
/// event, its offset with it, as far as spacing agrees within `kStepToleranceSeconds` and drift.
std::vector<std::vector<Match>> find_chains(const std::vector<double>& host_s,
                                            const std::vector<double>& recording_s,
                                            const SpacingLimits& limits);

}  // namespace thumblight::timing
