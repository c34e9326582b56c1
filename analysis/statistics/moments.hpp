#pragma once

#include <cstddef>
#include <optional>
#include <span>

namespace thumblight::statistics {

/// Mean and spread of values that arrive one by one.
/// Welford's update (Technometrics 4, 1962, 419-420) on the distance from the first value, so that
/// neither a large common part nor a difference of large squares costs digits.
class Moments {
 public:
  /// Takes in one finite value.
  void add(double value);

  std::size_t n() const { return n_; }

  /// Arithmetic mean; absent without values.
  std::optional<double> mean() const;

  /// Variance with divisor n - 1; absent below two values.
  std::optional<double> variance() const;

  /// Standard deviation of one value, divisor n - 1; absent below two values.
  std::optional<double> sd() const;

  /// Standard deviation of the mean, sd / sqrt(n) (JCGM 100:2008, 4.2.3); absent below two values.
  std::optional<double> standard_error() const;

 private:
  std::size_t n_ = 0;
  double origin_ = 0;
  double mean_from_origin_ = 0;
  double sum_of_squares_ = 0;
};

/// The moments of all values. Throws `Error` at a value that is not finite.
Moments moments(std::span<const double> values);

/// Correlation of each value with the one after it,
/// sum (y_i - m)(y_i+1 - m) / sum (y_i - m)^2, as the NIST StRD define it.
/// Near zero for presses that do not influence each other. Absent below two values, or if all are
/// equal.
std::optional<double> lag1_autocorrelation(std::span<const double> values);

}  // namespace thumblight::statistics
