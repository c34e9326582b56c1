#pragma once

#include <vector>

#include "analysis/timing/linked_clock.hpp"
#include "analysis/timing/press_rows.hpp"
#include "analysis/timing/timebase.hpp"
#include "harness/session/records.hpp"

/// The clock link lamp: the host switches a lamp at logged instants, in the camera's view.
namespace thumblight::timing {

/// How long after it is switched the lamp may light: it lies within this range.
struct LampLag {
  double min_s = 0;
  double max_s = 0;
};

/// The clock from the lamps that both sides saw. Throws `Error` where there is none.
LinkedClock link_by_lamp(const std::vector<PressRow>& rows, const session::Log& log,
                         const Timebase& base, const LampLag& lag,
                         const std::optional<Drift>& lights);

}  // namespace thumblight::timing
