#include "analysis/onset/drawn_levels.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "analysis/onset/quantile.hpp"

namespace thumblight::onset {
namespace {

/// By how much each height differs from the one before it, as a logarithm.
std::vector<double> changes_of(const std::vector<double>& heights) {
  std::vector<double> changes;
  for (std::size_t i = 1; i < heights.size(); ++i) {
    changes.push_back(std::log(heights[i] / heights[i - 1]));
  }
  return changes;
}

/// Standard deviation of one height of those that differ by `changes`, untouched by a few that a
/// hand or a shadow moved.
double deviation(std::vector<double> changes) {
  constexpr double kOneSigma = 0.683;
  for (double& change : changes) {
    change = std::abs(change);
  }
  return quantile_of(changes, kOneSigma) / std::sqrt(2.0);
}

}  // namespace

double level_error(const FilmedGroup& lamp, const FilmedGroup& patch, bool lossless) {
  constexpr std::size_t kEnough = 5;
  const double unknown = lossless ? 0.003 : 0.015;
  const double least = lossless ? 0.001 : 0.004;
  if (lamp.heights.size() < kEnough) {
    return unknown;
  }
  std::vector<double> changes = changes_of(lamp.heights);
  double error = deviation(changes);
  if (patch.heights.size() == lamp.heights.size()) {
    const std::vector<double> common = changes_of(patch.heights);
    for (std::size_t i = 0; i < changes.size(); ++i) {
      changes[i] -= common[i];
    }
    error = std::min(error, deviation(changes));
  }
  return std::max(error, least);
}

}  // namespace thumblight::onset
