#pragma once

#include <optional>
#include <vector>

#include "analysis/timing/causality.hpp"
#include "analysis/timing/portions.hpp"
#include "analysis/timing/press_rows.hpp"

/// What causality says of the portions' means.
namespace thumblight::timing {

/// What is off at every press alike, as standard uncertainties in seconds.
struct SharedDoubts {
  double press_s = 0;
  double light_s = 0;
};

/// No press comes after its arrival, and no light before its submit, nor, where the scan-out's way
/// to the patch is stated, before the flip and that way. Each instant may be off by `kWidening` of
/// its uncertainties; a flip by `flip_half_width_s`.
std::vector<ClockLimit> clock_limits(const std::vector<PressRow>& rows, const SharedDoubts& shared,
                                     std::optional<double> scan_out_s, double flip_half_width_s);

/// The bounds of the mean delivery, screen and display over the possible clocks: linear in the
/// clock, so they lie at the corners. Widened by what the instants' means may be off.
PerPortion<std::optional<Bounds>> bound_means(const std::vector<PressRow>& rows,
                                              const std::vector<Clock>& corners,
                                              const SharedDoubts& shared);

}  // namespace thumblight::timing
