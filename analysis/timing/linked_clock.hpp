#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/timing/drift.hpp"

/// One clock, measured: what the links lamp and exchange come to.
namespace thumblight::timing {

/// One reading of the offset, host - recording.
struct OffsetReading {
  double x_s = 0;       ///< recording time
  double offset_s = 0;  ///< host time - recording time
  std::optional<double> u_s;
  /// It may be off by up to this on the same side as the others, so that they do not average it
  /// out.
  double shift_s = 0;
};

/// host = recording + offset(x), a straight line about the mean of the readings.
struct LinkedClock {
  double x_mean_s = 0;
  double offset_s = 0;  ///< at `x_mean_s`
  /// Standard uncertainty of that: the readings' scatter (type A), and what may shift many of them.
  double u_offset_s = 0;
  double theta1 = 0;
  double u_theta1 = 0;
  /// The offset may be off by this much at every press alike (type B, rectangular): half the lag
  /// range of a lamp, half the least round trip of exchanges; 0 for a shared clock.
  double half_width_s = 0;
  std::size_t n = 0;  ///< readings used; 0 for a shared clock

  double offset_at(double x_s) const { return offset_s + theta1 * (x_s - x_mean_s); }
  /// Standard uncertainty of the offset there, without the half-width.
  double u_at(double x_s) const;
};

/// The line through the readings, those with small uncertainties first (weights 1 / u^2; all alike
/// where one of them states none). Readings more than five robust standard deviations off are left
/// out. Where readings may be shifted, the line's uncertainties take in the shifts that would move
/// it most, as rectangular distributions. The rate is joined with the drift that the lights gave; a
/// single reading takes that alone, and without it a rate of 0 that may be anything up to
/// `kLargestRateError`. `readings` must not be empty.
LinkedClock link_clock(const std::vector<OffsetReading>& readings, double half_width_s,
                       const std::optional<Drift>& lights);

}  // namespace thumblight::timing
