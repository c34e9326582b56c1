#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/timing/arrival_grid.hpp"
#include "analysis/timing/press_phase.hpp"

/// What varies in delivery and in screen, which needs no offset between the clocks.
namespace thumblight::timing {

/// One press; empty where an instant is missing.
struct OffsetFree {
  std::optional<double> delivery_ms;   ///< more or less than the median
  std::optional<double> screen_ms;     ///< likewise
  std::optional<double> submit_turns;  ///< where in a refresh the submit fell
};

struct Variation {
  std::vector<OffsetFree> presses;  ///< one for each of `Split::presses`
  /// Parameters taken off each sequence: 1 (its median) on one clock; else 2, a straight line.
  std::size_t fitted = 2;
  /// Root mean square of the instants' own standard uncertainties, without what all presses share;
  /// empty where a press states none, or there is none.
  std::optional<double> press_u_ms;
  std::optional<double> light_u_ms;
  std::optional<ArrivalGrid> arrivals;
  std::optional<PressPhase> press_phase;
};

/// Arrival - press and light - flip are delivery and screen but for the offset between the clocks,
/// which is a constant and a rate. So each is taken about its own straight line over time: that
/// holds the rate and the constant whatever they are, also where too few lights give a drift, at
/// the cost of one degree of freedom and of any trend that the portion itself has. On one clock the
/// constant alone is taken off.
Variation find_variation(const std::vector<PressRow>& rows, const session::Log& log,
                         const std::optional<RefreshGrid>& refresh, bool on_one_clock,
                         const std::optional<Drift>& drift);

}  // namespace thumblight::timing
