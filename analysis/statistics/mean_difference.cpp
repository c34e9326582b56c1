#include "analysis/statistics/mean_difference.hpp"

#include <cmath>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/moments.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

struct Spread {
  double squared_error;
  double dof;
};

Spread welch_spread(double variance_a, std::size_t n_a, double variance_b, std::size_t n_b) {
  const double of_a = variance_a / static_cast<double>(n_a);
  const double of_b = variance_b / static_cast<double>(n_b);
  const double sum = of_a + of_b;
  // As shares of the sum, so that the fourth powers of tiny scatters do not vanish.
  const double share_a = of_a / sum;
  const double share_b = of_b / sum;
  return {sum, 1 / (share_a * share_a / static_cast<double>(n_a - 1) +
                    share_b * share_b / static_cast<double>(n_b - 1))};
}

Spread welch_spread_of(const Moments& a, const Moments& b) {
  return welch_spread(*a.variance(), a.n(), *b.variance(), b.n());
}

Spread pooled_spread(const Moments& a, const Moments& b) {
  const auto dof_a = static_cast<double>(a.n() - 1);
  const auto dof_b = static_cast<double>(b.n() - 1);
  const double pooled = (*a.variance() * dof_a + *b.variance() * dof_b) / (dof_a + dof_b);
  return {pooled * (1 / static_cast<double>(a.n()) + 1 / static_cast<double>(b.n())),
          dof_a + dof_b};
}

MeanDifference difference_with(double difference, const Spread& spread, double level) {
  if (spread.squared_error <= 0) {
    return {
        difference, 0, std::nullopt, std::nullopt, std::nullopt, {difference, difference, level}};
  }
  const double error = std::sqrt(spread.squared_error);
  const double reach = student_two_sided_factor(level, spread.dof) * error;
  const double t = difference / error;
  return {difference,
          error,
          spread.dof,
          t,
          student_two_sided_p(t, spread.dof),
          {difference - reach, difference + reach, level}};
}

using SpreadOf = Spread (*)(const Moments&, const Moments&);

std::optional<MeanDifference> mean_difference(std::span<const double> a, std::span<const double> b,
                                              double level, SpreadOf spread_of) {
  require_share(level, "level of confidence");
  const Moments of_a = moments(a);
  const Moments of_b = moments(b);
  if (of_a.n() < 2 || of_b.n() < 2) {
    return std::nullopt;
  }
  return difference_with(*of_a.mean() - *of_b.mean(), spread_of(of_a, of_b), level);
}

}  // namespace

std::optional<MeanDifference> welch_difference(std::span<const double> a, std::span<const double> b,
                                               double level) {
  return mean_difference(a, b, level, welch_spread_of);
}

WelchError welch_error(const SampleSpread& a, const SampleSpread& b) {
  if (a.n < 2 || b.n < 2) {
    throw Error("a sample of fewer than two values has no spread");
  }
  const Spread spread = welch_spread(a.sd * a.sd, a.n, b.sd * b.sd, b.n);
  return spread.squared_error > 0 ? WelchError{std::sqrt(spread.squared_error), spread.dof}
                                  : WelchError{0, std::nullopt};
}

std::optional<MeanDifference> pooled_difference(std::span<const double> a,
                                                std::span<const double> b, double level) {
  return mean_difference(a, b, level, pooled_spread);
}

}  // namespace thumblight::statistics
