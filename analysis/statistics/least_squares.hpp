#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace thumblight::statistics {

/// One regressor: its value at every observation.
struct Column {
  std::string name;
  std::vector<double> values;
};

/// A column that is a sum of columns before it, to 1 part in 10^9: the data cannot tell them apart.
struct Alias {
  std::size_t column;
  std::vector<std::size_t>
      with;  ///< the columns in that sum; none if the column is zero throughout
};

/// A linear model fitted by ordinary least squares.
class LeastSquaresFit {
 public:
  /// Coefficient of a column. Absent if the column was left out as an alias.
  std::optional<double> coefficient(std::size_t column) const;

  /// Whether the coefficient speaks of this column alone: it is fitted, and no alias shares it.
  bool estimable(std::size_t column) const;

  /// Covariance of two coefficients; absent if either is, or without residual degrees of freedom.
  std::optional<double> covariance(std::size_t first, std::size_t second) const;

  /// The same for observations of unit variance; 0 where a column was left out.
  double unscaled_covariance(std::size_t first, std::size_t second) const;

  /// Standard deviation of a coefficient; absent likewise.
  std::optional<double> standard_error(std::size_t column) const;

  std::size_t rank() const { return rank_; }
  std::size_t residual_dof() const { return residual_dof_; }
  double residual_sum_of_squares() const { return residual_sum_of_squares_; }

  /// Absent without residual degrees of freedom.
  std::optional<double> residual_sd() const;

  const std::vector<Alias>& aliases() const { return aliases_; }

 private:
  friend LeastSquaresFit fit_least_squares(const std::vector<Column>& columns,
                                           std::span<const double> y);

  std::vector<std::optional<double>> coefficients_;
  std::vector<double> unscaled_covariance_;  // columns by columns, zero where left out
  std::vector<Alias> aliases_;
  std::size_t rank_ = 0;
  std::size_t residual_dof_ = 0;
  double residual_sum_of_squares_ = 0;
};

/// Fits y as a sum of the columns by Householder QR, in the order given: a column that depends on
/// the ones before it is left out and named. A constant is a column of ones, and is the caller's; a
/// column with a large common part beside it is better centred first. Throws `Error` without
/// columns, without observations, if a column's length differs from y's or a value is not finite.
LeastSquaresFit fit_least_squares(const std::vector<Column>& columns, std::span<const double> y);

}  // namespace thumblight::statistics
