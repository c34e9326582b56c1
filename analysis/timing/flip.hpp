#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/timing/phase_grid.hpp"
#include "harness/session/records.hpp"

namespace thumblight::timing {

/// The refresh as the present returns give it, and how well.
struct RefreshGrid {
  PhaseGrid grid;            ///< of the present returns, in seconds after `base_ns`
  std::int64_t base_ns = 0;  ///< the first arrival
  double first_after_s = 0;  ///< the earliest returns lie this far from the grid
  double spread_s = 0;       ///< and the latest this far after the earliest; strays left out
};

/// The refresh at which the first bright frame of each logged press could first be scanned out.
struct Flips {
  std::string how;  ///< "refresh": from the phase of the present returns; "submit": the submit is
                    ///< taken for the flip
  std::vector<std::optional<std::int64_t>> at_ns;  ///< one a logged press; empty where unflashed
  /// A flip may have been this much earlier or later than stated, the same at every press: a
  /// present call returns some time after the refresh, and nothing tells how long. Taken as no
  /// longer than the returns are spread; the flips stand in the middle of that. 0 for a submit.
  double half_width_s = 0;
  std::optional<RefreshGrid> refresh;  ///< also where it is too loose to take flips from
};

/// Present returns are locked to the refresh if they keep to it at least this closely (see
/// PhaseGrid); a normal spread of a twentieth of a refresh has 0.95.
inline constexpr double kLocked = 0.9;

/// The flips from the phase of the present returns where the display is in step with the refresh
/// (vsync) and the returns are locked to it; else the submits, the earliest that a flip can be, so
/// that the wait for the refresh counts as screen.
///
/// A flip is the first refresh at or after the submit; where the present returned with the one
/// after that, it is that one, since a present returns some unknown time after its refresh and a
/// submit within that time has missed it.
Flips find_flips(const session::Log& log);

/// The submits taken for the flips, the earliest that these can be. `refresh` is kept as it is
/// known.
Flips submits_as_flips(const session::Log& log, std::optional<RefreshGrid> refresh);

}  // namespace thumblight::timing
