#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/timing/drift.hpp"
#include "analysis/timing/flip.hpp"
#include "analysis/timing/press_rows.hpp"

namespace thumblight::timing {

/// Where in the refresh the presses fell, and whether it was always in about the same place.
struct PressPhase {
  std::size_t n = 0;
  double closeness = 0;  ///< length of the mean of the phases as unit vectors, 0 to 1
  double chance = 1;     ///< of such a closeness, or more, for random presses: Rayleigh's test

  /// The presses keep step with the refresh; of random presses 1 session in 1000 seems to.
  bool is_in_step() const { return closeness > 0.5 && chance < 1e-3; }
};

/// The probability that the mean of n random unit vectors is at least `closeness` long: Rayleigh's
/// test, in the approximation of J. H. Zar, Biostatistical Analysis, 27.1 (from memory).
double rayleigh_chance(std::size_t n, double closeness);

/// The presses' phases need no offset between the clocks, only what the host's clock gains: 0 for
/// one clock, else the drift. Empty below ten presses; where the refresh or what the clock gains is
/// not known to a tenth of a refresh over the session; and where the presses' own uncertainty is
/// unknown or above a fifth of a refresh: on frames as long as the refresh any press seems in step.
std::optional<PressPhase> find_press_phase(const std::vector<PressRow>& rows,
                                           const std::optional<RefreshGrid>& refresh,
                                           bool on_one_clock, const std::optional<Drift>& drift);

}  // namespace thumblight::timing
