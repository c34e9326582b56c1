#include "analysis/report/portion_budget.hpp"

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

std::optional<statistics::Budget> portion_budget(const statistics::Summary& summary,
                                                 std::optional<double> value_u_ms,
                                                 const std::vector<timing::SharedError>& shared) {
  if (!summary.sd) {
    return std::nullopt;
  }
  std::vector<BudgetLine> lines = {scatter_line(summary, value_u_ms)};
  for (const timing::SharedError& error : shared) {
    lines.push_back(shared_line(error));
  }
  return statistics::make_budget(lines, summary.n);
}

}  // namespace thumblight::report
