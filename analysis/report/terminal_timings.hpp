#pragma once

#include <string>

#include "analysis/onset/timings.hpp"

namespace thumblight::report {

/// What was found in a recording, for a terminal of 80 columns: its clock, how many presses and
/// lights, how and how well each was found, and what the camera did.
std::string terminal_timings(const onset::Timings& timings);

}  // namespace thumblight::report
