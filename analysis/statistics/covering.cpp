#include "analysis/statistics/covering.hpp"

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "analysis/statistics/distributions.hpp"

namespace thumblight::statistics {

namespace {

/// The integral of the normal distribution function up to z.
double integrated_cdf(double z) {
  const double density = std::exp(-z * z / 2) / std::sqrt(2 * std::numbers::pi);
  return z * normal_cdf(z) + density;
}

/// The probability that the sum lies within -/+ `reach`.
double covered(double reach, double sd, double half_width) {
  const double far = (reach + half_width) / sd;
  const double near = (reach - half_width) / sd;
  const double below = integrated_cdf(far) - integrated_cdf(near);
  const double above = integrated_cdf(-near) - integrated_cdf(-far);
  return sd * (below - above) / (2 * half_width);
}

/// The row that is kept rectangular; null where there is none.
const BudgetRow* largest_rectangular(const Budget& budget) {
  const BudgetRow* largest = nullptr;
  for (const BudgetRow& row : budget.rows) {
    const bool lasts =
        row.line.distribution == Distribution::kRectangular && !row.line.shrinks_with_n;
    if (lasts && row.contribution > 0 &&
        (largest == nullptr || row.contribution > largest->contribution)) {
      largest = &row;
    }
  }
  return largest;
}

}  // namespace

double covering_half_width(double sd, double half_width, double level) {
  // Beyond this ratio the integrals' difference has too few digits left, and the lesser part none.
  constexpr double kNegligible = 1e-4;
  const double of_normal = sd * student_two_sided_factor(level, kInfiniteDof);
  if (half_width <= kNegligible * sd) {
    return of_normal;
  }
  if (sd <= kNegligible * half_width) {
    return level * half_width;
  }
  std::uintmax_t steps = 200;
  const auto range = boost::math::tools::toms748_solve(
      [&](double reach) { return covered(reach, sd, half_width) - level; }, 0.0,
      half_width + 2 * of_normal, boost::math::tools::eps_tolerance<double>(40), steps);
  return (range.first + range.second) / 2;
}

double covering_half_width(const Budget& budget) {
  const BudgetRow* rectangular = largest_rectangular(budget);
  if (rectangular == nullptr) {
    return budget.expanded;
  }
  std::vector<BudgetLine> others;
  for (const BudgetRow& row : budget.rows) {
    if (&row != rectangular) {
      others.push_back(row.line);
    }
  }
  const std::optional<Budget> rest = make_budget(others, budget.n, budget.level);
  const double normal_factor = student_two_sided_factor(budget.level, kInfiniteDof);
  const double sd = rest ? rest->expanded / normal_factor : 0;
  return covering_half_width(sd, rectangular->contribution * std::sqrt(3.0), budget.level);
}

}  // namespace thumblight::statistics
