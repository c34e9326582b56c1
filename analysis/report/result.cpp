#include "analysis/report/result.hpp"

#include <cmath>

#include "analysis/report/portion_budget.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

std::vector<double> values_of(const timing::Split& split, Portion portion) {
  std::vector<double> values_ms;
  for (const timing::PressSplit& press : split.presses) {
    if (press.portions_ms[portion]) {
      values_ms.push_back(*press.portions_ms[portion]);
    }
  }
  return values_ms;
}

/// Root mean square over the presses; empty if one of them states none.
std::optional<double> value_uncertainty(const timing::Split& split, Portion portion) {
  double squares = 0;
  double n = 0;
  for (const timing::PressSplit& press : split.presses) {
    if (!press.portions_ms[portion]) {
      continue;
    }
    if (!press.u_ms[portion]) {
      return std::nullopt;
    }
    squares += *press.u_ms[portion] * *press.u_ms[portion];
    n += 1;
  }
  return n > 0 ? std::optional<double>(std::sqrt(squares / n)) : std::nullopt;
}

PortionResult portion_result(const timing::Split& split, Portion portion) {
  PortionResult result;
  result.summary = statistics::summarise(values_of(split, portion));
  result.mean_bounds = split.mean_bounds_ms[portion];
  result.value_u_ms = value_uncertainty(split, portion);
  if (result.summary) {
    result.budget = portion_budget(*result.summary, result.value_u_ms, split.shared[portion]);
  }
  return result;
}

}  // namespace

Result make_result(timing::Split split, const onset::Timings& timings, const session::Log* log) {
  Result result;
  for (const Portion portion : timing::kPortions) {
    result.portions[portion] = portion_result(split, portion);
  }
  result.variation = find_variation(split);
  result.recording = timings.recording;
  if (log != nullptr) {
    result.labels = log->header.labels;
    result.pacing = log->header.pacing;
  }
  result.split = std::move(split);
  return result;
}

}  // namespace thumblight::report
