#pragma once

#include <cstddef>
#include <vector>

namespace thumblight::statistics {

/// Up to this many values in each sample the exact distribution is reckoned.
inline constexpr std::size_t kMostForExactRanks = 50;

/// P(U <= u) for u = 0 ... m * n, where U counts the pairs in which the first sample's value is the
/// greater, both samples come from one continuous distribution, and no two values are equal.
/// Recurrence of Mann and Whitney (Annals of Mathematical Statistics 18, 1947, 50-60), in
/// probabilities so that nothing overflows. Work grows as (m n)^2.
std::vector<double> rank_sum_null_cdf(std::size_t m, std::size_t n);

/// Variance of U over that distribution, m n (m + n + 1) / 12.
double rank_sum_variance(std::size_t m, std::size_t n);

}  // namespace thumblight::statistics
