#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "analysis/statistics/interval.hpp"

namespace thumblight::statistics {

/// Interval between two of the ordered pairwise differences.
struct ShiftInterval {
  Interval interval;        ///< `level` is what was asked for
  std::uint64_t low_index;  ///< rank of the lower end among the m n differences, from 1; the upper
                            ///< end has the same rank counted from the top
  std::optional<double> achieved_level;  ///< without ties; absent for the normal approximation
};

/// By how much A lies above B: Hodges and Lehmann's shift (Annals of Mathematical Statistics 34,
/// 1963, 598-611).
struct Shift {
  double shift;  ///< median of all differences a - b
  /// From the exact distribution of U without ties; with ties it holds at least its level. Absent
  /// above kMostForExactRanks values, and where even all the differences do not reach the level.
  std::optional<ShiftInterval> exact;
  /// From the normal approximation to U; absent where its rank falls outside the differences.
  std::optional<ShiftInterval> normal;

  /// The exact interval where there is one, else the normal one.
  std::optional<ShiftInterval> best() const;
};

/// Absent if either sample is empty. Memory grows with m + n only.
std::optional<Shift> hodges_lehmann_shift(std::span<const double> a, std::span<const double> b,
                                          double level = 0.95);

}  // namespace thumblight::statistics
