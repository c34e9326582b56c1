#pragma once

#include <cstddef>
#include <span>
#include <string_view>

namespace thumblight::statistics {

/// Throws `Error` naming the first value that is not a finite number, or so large (above 10^100)
/// that its square or cube would not be one.
void require_finite(std::span<const double> values, std::string_view what);

/// Throws `Error` unless `share` (a level of confidence, a power) lies between 0 and 1, ends
/// excluded.
void require_share(double share, std::string_view what);

/// Throws `Error` unless `value` is finite and above zero.
void require_positive(double value, std::string_view what);

/// Throws `Error` unless `value` is finite and not below zero.
void require_not_negative(double value, std::string_view what);

}  // namespace thumblight::statistics
