#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "analysis/timing/flip.hpp"
#include "analysis/timing/phase_grid.hpp"
#include "harness/session/records.hpp"

namespace thumblight::timing {

/// What a grid of arrivals is made by, as far as the log can tell.
enum class GridMaker {
  kInput,    ///< the way of the input: it is polled, unless the presses were made in such steps
  kRefresh,  ///< the program takes its input once a refresh, or once in two
  kClock     ///< the host's clock moves in such steps: the submits lie on it to a microsecond too
};

struct ArrivalGrid {
  PhaseGrid grid;
  GridMaker maker = GridMaker::kInput;
};

/// Periods at which controls are polled: from 1000 Hz to 50 Hz (common practice, no source).
inline constexpr PeriodRange kPollingPeriods = {0.0009, 0.020};

/// The regular grid that the arrivals lie on, if they do: chance makes one in at most 1 session of
/// 1000. At least about 18 arrivals are needed. Events on a grid lie on every finer grid that
/// divides it;
/// the coarsest that holds them is given, up to 50 ms.
std::optional<ArrivalGrid> find_arrival_grid(const session::Log& log,
                                             const std::optional<RefreshGrid>& refresh);

/// The same for any events in order of time, in seconds, without a maker.
std::optional<PhaseGrid> find_fine_grid(const std::vector<double>& events_s);

}  // namespace thumblight::timing
