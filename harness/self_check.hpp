#pragma once

#include <ostream>

#include "harness/options.hpp"

namespace thumblight::harness {

/// Measures this machine with SDL's virtual controller: from a pushed press to its arrival stamp,
/// to submit and to present in each pacing, the refresh interval and its jitter, and the counter's
/// resolution; and says in words what is fit to measure here. Nothing flashes but a lamp that
/// is asked for, twice a second: the patch is drawn dark on dark. Throws `Error` where the display
/// or the virtual controller cannot be had.
void self_check(const Options& options, std::ostream& out);

}  // namespace thumblight::harness
