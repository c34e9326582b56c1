#pragma once

#include <vector>

#include "analysis/timing/causality.hpp"
#include "analysis/timing/frame_phase.hpp"
#include "analysis/timing/press_rows.hpp"
#include "analysis/timing/variation.hpp"

/// What a split has to warn of; each appends to `warnings`.
namespace thumblight::timing {

/// How the log ended and how its presses were paired.
void warn_of_log(const session::Log& log, const Pairing& pairing, const std::vector<PressRow>& rows,
                 std::vector<onset::Warning>& warnings);

/// Presses of which something had to be left out.
void warn_of_rows(const std::vector<PressRow>& rows, std::vector<onset::Warning>& warnings);

/// Presses that are not spread over the refresh, and lights that are not spread over the frames.
void warn_of_step(const Variation& variation, const std::optional<FramePhase>& frame_phase,
                  std::vector<onset::Warning>& warnings);

/// Bounds that causality cannot give, or gives on shaky ground.
void warn_of_causality(const std::vector<PressRow>& rows, const FeasibleClocks& feasible,
                       std::vector<onset::Warning>& warnings);

}  // namespace thumblight::timing
