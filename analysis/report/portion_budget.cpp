#include "analysis/report/portion_budget.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::report {
namespace {

using statistics::BudgetLine;
using statistics::Distribution;
using statistics::Evaluation;

BudgetLine scatter_line(const statistics::Summary& summary, std::optional<double> value_u_ms) {
  BudgetLine line;
  line.shrinks_with_n = true;
  if (value_u_ms && *value_u_ms > *summary.sd) {
    line.source = "resolution of the instants";
    line.evaluation = Evaluation::kTypeB;
    line.standard_uncertainty = *value_u_ms;
    return line;
  }
  line.source = "scatter of the presses";
  line.evaluation = Evaluation::kTypeA;
  line.distribution = Distribution::kStudentT;
  line.standard_uncertainty = *summary.sd;
  line.dof = static_cast<double>(summary.n - 1);
  return line;
}

BudgetLine repeatability_line(const timing::MarkRepeatability& repeatability) {
  BudgetLine line;
  line.source = "repeatability of marks";
  line.evaluation = Evaluation::kTypeA;
  line.distribution = Distribution::kStudentT;
  line.standard_uncertainty = repeatability.u_ms;
  line.dof = repeatability.dof;
  line.shrinks_with_n = true;
  return line;
}

/// Takes the repeatability's part out of the scatter. The difference of two variances, each s^2
/// with its own degrees of freedom, varies by 2 s^4 / dof of both (for normal values Var(s^2) is
/// 2 sigma^4 / dof: JCGM 100:2008, E.4.3 and G.4.2), which gives the degrees of freedom it has.
void take_out(const timing::MarkRepeatability& repeatability, BudgetLine& scatter) {
  const double whole = scatter.standard_uncertainty * scatter.standard_uncertainty;
  const double part = repeatability.u_ms * repeatability.u_ms;
  const double left = std::max(0.0, whole - part);
  const double doubt = whole * whole / scatter.dof + part * part / repeatability.dof;
  scatter.standard_uncertainty = std::sqrt(left);
  if (part > 0 && std::isfinite(scatter.dof)) {
    scatter.dof = std::max(1.0, left * left / doubt);
  }
}

BudgetLine shared_line(const timing::SharedError& error) {
  BudgetLine line;
  line.source = error.source;
  line.standard_uncertainty = error.u_ms;
  if (error.half_width_ms) {
    line.distribution = Distribution::kRectangular;
    line.half_width = error.half_width_ms;
  }
  return line;
}

}  // namespace

std::optional<statistics::Budget> portion_budget(
    const statistics::Summary& summary, std::optional<double> value_u_ms,
    const std::vector<timing::SharedError>& shared,
    const std::optional<timing::MarkRepeatability>& repeatability) {
  if (!summary.sd) {
    return std::nullopt;
  }
  std::vector<BudgetLine> lines = {scatter_line(summary, value_u_ms)};
  if (repeatability) {
    take_out(*repeatability, lines.front());
    lines.push_back(repeatability_line(*repeatability));
  }
  for (const timing::SharedError& error : shared) {
    lines.push_back(shared_line(error));
  }
  return statistics::make_budget(lines, summary.n);
}

}  // namespace thumblight::report
