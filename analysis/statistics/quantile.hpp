#pragma once

#include <optional>
#include <span>

namespace thumblight::statistics {

/// Sample quantile of type 7 (Hyndman and Fan, The American Statistician 50, 1996, 361-365): with
/// the n values in ascending order, straight-line interpolation at position 1 + (n - 1) p. `p` runs
/// from 0 (least value) to 1 (greatest). Absent without values. Throws `Error` at a value that is
/// not finite or a p outside 0 to 1.
std::optional<double> quantile(std::span<const double> values, double p);

/// The same for values already in ascending order, at least one; nothing is checked.
double quantile_of_sorted(std::span<const double> sorted, double p);

/// Middle value, or the mean of the two middle values. Absent without values.
std::optional<double> median(std::span<const double> values);

/// Median of the distances from the median, not scaled. Absent without values.
std::optional<double> median_absolute_deviation(std::span<const double> values);

/// Times this, the median absolute deviation of normal values is their standard deviation:
/// 1 / quantile 0.75 of the standard normal.
constexpr double kMadToSd = 1.4826022185056018;

}  // namespace thumblight::statistics
