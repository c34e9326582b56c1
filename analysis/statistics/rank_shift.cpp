#include "analysis/statistics/rank_shift.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/ordered_double.hpp"
#include "analysis/statistics/rank_null.hpp"

namespace thumblight::statistics {

namespace {

constexpr double kRoundingOfLevel = 1e-12;

/// All differences a - b in ascending order, without writing them down.
class Differences {
 public:
  Differences(std::span<const double> a, std::span<const double> b)
      : a_(a.begin(), a.end()), b_(b.begin(), b.end()) {
    std::sort(a_.begin(), a_.end());
    std::sort(b_.begin(), b_.end());
  }

  std::uint64_t size() const { return std::uint64_t{a_.size()} * b_.size(); }

  /// The difference of this rank, from 1.
  double at_rank(std::uint64_t rank) const {
    return least_double_that(a_.front() - b_.back(), a_.back() - b_.front(),
                             [&](double limit) { return count_up_to(limit) >= rank; });
  }

 private:
  /// How many differences are at most `limit`; the further up in `a`, the fewer of `b` serve.
  std::uint64_t count_up_to(double limit) const {
    std::uint64_t count = 0;
    std::size_t first = 0;
    for (const double value : a_) {
      while (first < b_.size() && value - b_[first] > limit) {
        ++first;
      }
      count += b_.size() - first;
    }
    return count;
  }

  std::vector<double> a_;
  std::vector<double> b_;
};

double median_of(const Differences& differences) {
  const double upper = differences.at_rank(differences.size() / 2 + 1);
  if (differences.size() % 2 == 1) {
    return upper;
  }
  return std::lerp(differences.at_rank(differences.size() / 2), upper, 0.5);
}

Interval between_ranks(const Differences& differences, std::uint64_t low_index, double level) {
  return {differences.at_rank(low_index), differences.at_rank(differences.size() + 1 - low_index),
          level};
}

std::optional<ShiftInterval> exact_interval(const Differences& differences, std::size_t m,
                                            std::size_t n, double level) {
  if (std::max(m, n) > kMostForExactRanks) {
    return std::nullopt;
  }
  const std::vector<double> cdf = rank_sum_null_cdf(m, n);
  const double tail = (1 - level) / 2 + kRoundingOfLevel;
  const auto index = static_cast<std::uint64_t>(
      std::upper_bound(cdf.begin(), cdf.begin() + static_cast<std::ptrdiff_t>(cdf.size() / 2),
                       tail) -
      cdf.begin());
  if (index == 0) {
    return std::nullopt;
  }
  return ShiftInterval{between_ranks(differences, index, level), index, 1 - 2 * cdf[index - 1]};
}

std::optional<ShiftInterval> normal_interval(const Differences& differences, std::size_t m,
                                             std::size_t n, double level) {
  const double reach = normal_quantile(0.5 + level / 2) * std::sqrt(rank_sum_variance(m, n));
  const double index = std::floor(static_cast<double>(differences.size()) / 2 - reach);
  if (index < 1) {
    return std::nullopt;
  }
  const auto low_index = static_cast<std::uint64_t>(index);
  return ShiftInterval{between_ranks(differences, low_index, level), low_index, std::nullopt};
}

}  // namespace

std::optional<ShiftInterval> Shift::best() const {
  return exact ? exact : normal;
}

std::optional<Shift> hodges_lehmann_shift(std::span<const double> a, std::span<const double> b,
                                          double level) {
  require_finite(a, "of sample A");
  require_finite(b, "of sample B");
  require_share(level, "level of confidence");
  if (a.empty() || b.empty()) {
    return std::nullopt;
  }
  const Differences differences(a, b);
  return Shift{median_of(differences), exact_interval(differences, a.size(), b.size(), level),
               normal_interval(differences, a.size(), b.size(), level)};
}

}  // namespace thumblight::statistics
