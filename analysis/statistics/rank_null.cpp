#include "analysis/statistics/rank_null.hpp"

#include <numeric>

namespace thumblight::statistics {

namespace {

using Probabilities = std::vector<double>;

/// P(U = u) for i and j values from those for i - 1 and j (the greatest value is of the first
/// sample, above all j) and for i and j - 1 (it is of the second).
Probabilities one_more(const Probabilities& first_one_less, const Probabilities& second_one_less,
                       std::size_t i, std::size_t j) {
  Probabilities result(i * j + 1, 0.0);
  const double share_first = static_cast<double>(i) / static_cast<double>(i + j);
  for (std::size_t u = 0; u < first_one_less.size(); ++u) {
    result[u + j] += share_first * first_one_less[u];
  }
  for (std::size_t u = 0; u < second_one_less.size(); ++u) {
    result[u] += (1 - share_first) * second_one_less[u];
  }
  return result;
}

}  // namespace

std::vector<double> rank_sum_null_cdf(std::size_t m, std::size_t n) {
  std::vector<Probabilities> by_second(n + 1, Probabilities{1.0});
  for (std::size_t i = 1; i <= m; ++i) {
    by_second[0] = {1.0};
    for (std::size_t j = 1; j <= n; ++j) {
      by_second[j] = one_more(by_second[j], by_second[j - 1], i, j);
    }
  }
  Probabilities cdf = by_second[n];
  std::partial_sum(cdf.begin(), cdf.end(), cdf.begin());
  return cdf;
}

double rank_sum_variance(std::size_t m, std::size_t n) {
  const auto first = static_cast<double>(m);
  const auto second = static_cast<double>(n);
  return first * second * (first + second + 1) / 12;
}

}  // namespace thumblight::statistics
