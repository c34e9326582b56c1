#include "analysis/statistics/cycle_fit.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/least_squares.hpp"
#include "analysis/statistics/moments.hpp"

namespace thumblight::statistics {
namespace {

std::vector<Column> wave_columns(std::span<const double> turns) {
  std::vector<Column> columns = {{"constant", {}}, {"cosine", {}}, {"sine", {}}};
  for (const double turn : turns) {
    const double angle = 2 * std::numbers::pi * (turn - std::floor(turn));
    columns[0].values.push_back(1);
    columns[1].values.push_back(std::cos(angle));
    columns[2].values.push_back(std::sin(angle));
  }
  return columns;
}

}  // namespace

std::optional<CycleFit> fit_cycle(std::span<const double> turns, std::span<const double> values,
                                  std::size_t fitted) {
  require_finite(turns, "of a phase");
  if (values.size() < kFewestForCycle) {
    return std::nullopt;
  }
  const auto n = static_cast<double>(values.size());
  const double squares = *moments(values).variance() * (n - 1);
  const LeastSquaresFit fit = fit_least_squares(wave_columns(turns), values);
  if (!(squares > 0) || !fit.aliases().empty()) {
    return std::nullopt;
  }
  CycleFit result;
  result.n = values.size();
  result.amplitude = std::hypot(*fit.coefficient(1), *fit.coefficient(2));
  const double left = fit.residual_sum_of_squares();
  result.share = 1 - left / squares;
  const double dof = n - static_cast<double>(fitted) - 2;
  const double f = (squares - left) / 2 / (left / dof);
  result.p = left > 0 ? fisher_upper_tail(f, 2, dof) : 0;
  return result;
}

}  // namespace thumblight::statistics
