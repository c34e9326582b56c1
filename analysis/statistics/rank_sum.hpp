#pragma once

#include <optional>
#include <span>

#include "analysis/statistics/interval.hpp"

namespace thumblight::statistics {

/// The rank-sum test of Mann and Whitney (NIST/SEMATECH e-Handbook 7.3.5) of two independent
/// samples.
/// Ties are values that are equal to the last bit: round what is equal but for its reckoning (whole
/// frames, say) to the same number first.
struct RankSumTest {
  double u_a;  ///< pairs in which the value of A is greater, equal pairs counted half
  double u_b;  ///< the same for B; u_a + u_b is the number of pairs
  bool ties;   ///< some value occurs more than once, in whichever sample
  double mean_u;
  double sd_u;              ///< corrected for ties; 0 if all values are equal
  std::optional<double> z;  ///< (u_a - mean) / sd; absent if all values are equal
  std::optional<double>
      p_asymptotic;  ///< two-sided, without continuity correction; absent likewise
  std::optional<double>
      p_continuity;  ///< two-sided, with a correction of one half; absent likewise
  std::optional<double>
      p_exact;  ///< two-sided; absent with ties or above kMostForExactRanks values
};

/// Absent if either sample is empty.
std::optional<RankSumTest> rank_sum_test(std::span<const double> a, std::span<const double> b);

/// How often one press of A would be answered sooner than one of B.
struct FasterProbability {
  double estimate;    ///< P(a < b) + P(a = b) / 2, from 0 to 1
  Interval interval;  ///< within 0 to 1
};

/// Share of the pairs in which A has the lesser value, equal pairs counted half, with the interval
/// of Newcombe's method 5 (Statistics in Medicine 25, 2006, 559-573; formula from memory):
/// score-like, with the variance of Hanley and McNeil (Radiology 143, 1982, 29-36), so that it says
/// something even where every value of A is the lesser. Absent if either sample is empty.
std::optional<FasterProbability> probability_a_faster(std::span<const double> a,
                                                      std::span<const double> b,
                                                      double level = 0.95);

}  // namespace thumblight::statistics
