#include "analysis/statistics/outliers.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/quantile.hpp"

namespace thumblight::statistics {

namespace {

constexpr std::size_t kFewestValues = 4;
constexpr double kInnerRanges = 1.5;
constexpr double kOuterRanges = 3;
constexpr double kRounding = 1e-12;

Fences fences_of(std::span<const double> values, double resolution) {
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const double lower = quantile_of_sorted(sorted, 0.25);
  const double upper = quantile_of_sorted(sorted, 0.75);
  const double rounding = kRounding * std::max(std::abs(lower), std::abs(upper));
  const double range = std::max({upper - lower, resolution, rounding});
  return {lower - kOuterRanges * range, lower - kInnerRanges * range, upper + kInnerRanges * range,
          upper + kOuterRanges * range};
}

}  // namespace

std::optional<OutlierReport> flag_outliers(std::span<const double> values, double resolution) {
  require_finite(values, "of a sample");
  require_not_negative(resolution, "resolution");
  if (values.size() < kFewestValues) {
    return std::nullopt;
  }
  OutlierReport report{fences_of(values, resolution), {}};
  const Fences& fences = report.fences;
  for (std::size_t index = 0; index < values.size(); ++index) {
    const double value = values[index];
    if (value < fences.lower_outer || value > fences.upper_outer) {
      report.outliers.push_back({index, value, OutlierKind::kExtreme});
    } else if (value < fences.lower_inner || value > fences.upper_inner) {
      report.outliers.push_back({index, value, OutlierKind::kMild});
    }
  }
  return report;
}

}  // namespace thumblight::statistics
