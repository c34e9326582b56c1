#pragma once

#include <cstdint>
#include <memory>
#include <span>

namespace thumblight::statistics {

/// The slopes between all pairs of points with different x, in ascending order.
class PairwiseSlopes {
 public:
  virtual ~PairwiseSlopes() = default;

  virtual std::uint64_t size() const = 0;

  /// The slope of this rank, from 1 to size().
  virtual double at_rank(std::uint64_t rank) const = 0;
};

/// Writes every slope down.
std::unique_ptr<PairwiseSlopes> listed_slopes(std::span<const double> x, std::span<const double> y);

/// Finds a slope by bisection on its value: y_i - s x_i and y_j - s x_j change order as s passes
/// the slope between i and j, so the slopes up to s are the inversions that a merge sort counts.
/// Agrees with the list to the rounding of those residuals.
std::unique_ptr<PairwiseSlopes> counted_slopes(std::span<const double> x,
                                               std::span<const double> y);

}  // namespace thumblight::statistics
