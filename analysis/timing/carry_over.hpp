#pragma once

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "analysis/timing/portions.hpp"

/// What sessions on one machine, display, mode and patch lend each other: the mean of the screen
/// portion in the long run is the same, so the tightest of its bounds serve all.
namespace thumblight::timing {

/// What one session says of its screen portion.
struct ScreenEvidence {
  Bounds mean_ms;          ///< the mean over its own presses lies between these
  double sampling_ms = 0;  ///< and no further than this from the mean in the long run
};

struct SharedScreen {
  Bounds mean_ms;             ///< of the mean in the long run
  std::size_t low_from = 0;   ///< which of the sessions sets the lower bound
  std::size_t high_from = 0;  ///< and which the upper
};

/// The shared mean, or the two sessions whose bounds exclude each other; neither without sessions.
struct CarryOver {
  std::optional<SharedScreen> screen;
  std::optional<std::pair<std::size_t, std::size_t>> contradiction;
};

CarryOver carry_over(const std::vector<ScreenEvidence>& sessions);

/// What the shared mean leaves possible for one session's own; `own_ms` holds what it knew itself.
Bounds own_screen_ms(const SharedScreen& shared, double sampling_ms,
                     const std::optional<Bounds>& own_ms);

}  // namespace thumblight::timing
