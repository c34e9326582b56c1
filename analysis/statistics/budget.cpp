#include "analysis/statistics/budget.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

constexpr double kStatedLevel = 0.95;

void require_dof(double dof, const std::string& where) {
  if (!(dof >= 1)) {
    throw Error("the degrees of freedom of " + where + " must be 1 or more (or infinite)");
  }
}

void check(const BudgetLine& line) {
  const std::string where = "the budget line '" + line.source + "'";
  require_not_negative(line.standard_uncertainty, "uncertainty of " + where);
  require_not_negative(std::abs(line.sensitivity), "size of the sensitivity of " + where);
  require_dof(line.dof, where);
}

void check(const LineCorrelation& correlation, std::size_t lines) {
  const bool two_lines = correlation.first < lines && correlation.second < lines &&
                         correlation.first != correlation.second;
  if (!two_lines || !(std::abs(correlation.coefficient) <= 1)) {
    throw Error("a correlation joins two different lines of the budget by -1 to 1");
  }
}

double square(double value) {
  return value * value;
}

double contribution_of(const BudgetLine& line, std::size_t n) {
  const double shrinking = line.shrinks_with_n ? std::sqrt(static_cast<double>(n)) : 1;
  return std::abs(line.sensitivity) * line.standard_uncertainty / shrinking;
}

template <typename Predicate>
double root_sum_of_squares(const std::vector<BudgetRow>& rows, Predicate counts) {
  double sum = 0;
  for (const BudgetRow& row : rows) {
    sum += counts(row.line) ? square(row.contribution) : 0;
  }
  return std::sqrt(sum);
}

std::vector<BudgetRow> rows_of(const std::vector<BudgetLine>& lines, std::size_t n) {
  std::vector<BudgetRow> rows;
  double variance = 0;
  for (const BudgetLine& line : lines) {
    check(line);
    rows.push_back({line, contribution_of(line, n), 0});
    variance += square(rows.back().contribution);
  }
  for (BudgetRow& row : rows) {
    row.variance_share = variance > 0 ? square(row.contribution) / variance : 0;
  }
  return rows;
}

double signed_contribution(const BudgetRow& row) {
  return std::copysign(row.contribution, row.line.sensitivity);
}

double combined_of(const std::vector<BudgetRow>& rows,
                   const std::vector<LineCorrelation>& correlations) {
  double variance = 0;
  for (const BudgetRow& row : rows) {
    variance += square(row.contribution);
  }
  for (const LineCorrelation& correlation : correlations) {
    check(correlation, rows.size());
    variance += 2 * correlation.coefficient * signed_contribution(rows[correlation.first]) *
                signed_contribution(rows[correlation.second]);
  }
  return std::sqrt(std::max(0.0, variance));
}

/// Welch and Satterthwaite, in shares of the combined variance so that small units lose nothing.
double satterthwaite(const std::vector<BudgetRow>& rows) {
  double sum = 0;
  for (const BudgetRow& row : rows) {
    sum += square(row.variance_share) / row.line.dof;
  }
  return sum > 0 ? 1 / sum : kInfiniteDof;
}

double effective_dof_of(const std::vector<BudgetRow>& rows,
                        const std::vector<LineCorrelation>& correlations) {
  double dof = satterthwaite(rows);
  for (const LineCorrelation& correlation : correlations) {
    dof = std::min({dof, rows[correlation.first].line.dof, rows[correlation.second].line.dof});
  }
  return dof;
}

}  // namespace

const char* name(Distribution distribution) {
  switch (distribution) {
    case Distribution::kNormal:
      return "normal";
    case Distribution::kStudentT:
      return "Student's t";
    case Distribution::kRectangular:
      return "rectangular";
    case Distribution::kTriangular:
      return "triangular";
    case Distribution::kTrapezoid:
      return "trapezoid";
    case Distribution::kArcsine:
      return "arcsine";
  }
  return "";
}

double standard_uncertainty(Distribution distribution, double half_width, double beta, double dof) {
  require_not_negative(half_width, "half-width");
  switch (distribution) {
    case Distribution::kNormal:
      return half_width / student_two_sided_factor(kStatedLevel, kInfiniteDof);
    case Distribution::kStudentT:
      require_dof(dof, "a t distribution");
      return half_width / student_two_sided_factor(kStatedLevel, dof);
    case Distribution::kRectangular:
      return half_width / std::sqrt(3.0);
    case Distribution::kTriangular:
      return half_width / std::sqrt(6.0);
    case Distribution::kTrapezoid:
      if (!(beta >= 0 && beta <= 1)) {
        throw Error("the top of a trapezoid is a share of its base, from 0 to 1");
      }
      return half_width * std::sqrt((1 + square(beta)) / 6);
    case Distribution::kArcsine:
      return half_width / std::sqrt(2.0);
  }
  throw Error("no such distribution");
}

double dof_of_relative_uncertainty(double share) {
  require_positive(share, "relative uncertainty of an uncertainty");
  return 1 / (2 * square(share));
}

double truncated_dof(double effective_dof) {
  return std::floor(std::round(effective_dof * 10) / 10);
}

std::optional<Budget> make_budget(const std::vector<BudgetLine>& lines, std::size_t n, double level,
                                  const std::vector<LineCorrelation>& correlations) {
  require_share(level, "level of confidence");
  if (n == 0) {
    throw Error("a budget is made for one press or more");
  }
  if (lines.empty()) {
    return std::nullopt;
  }
  Budget budget{};
  budget.rows = rows_of(lines, n);
  budget.n = n;
  budget.type_a = root_sum_of_squares(
      budget.rows, [](const auto& line) { return line.evaluation == Evaluation::kTypeA; });
  budget.type_b = root_sum_of_squares(
      budget.rows, [](const auto& line) { return line.evaluation == Evaluation::kTypeB; });
  budget.lasting =
      root_sum_of_squares(budget.rows, [](const auto& line) { return !line.shrinks_with_n; });
  budget.combined = combined_of(budget.rows, correlations);
  budget.effective_dof = effective_dof_of(budget.rows, correlations);
  budget.coverage_factor = student_two_sided_factor(level, truncated_dof(budget.effective_dof));
  budget.expanded = budget.coverage_factor * budget.combined;
  budget.level = level;
  return budget;
}

}  // namespace thumblight::statistics
