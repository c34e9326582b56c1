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

/// Changes that the heights of `group` do not share with those of `other`, where these are known.
std::vector<double> changes_beside(const FilmedGroup& group, const FilmedGroup& other) {
  std::vector<double> changes = changes_of(group.heights);
  const std::vector<double> common = changes_of(other.heights);
  for (std::size_t i = 0; i < changes.size() && common.size() == changes.size(); ++i) {
    changes[i] -= common[i];
  }
  return changes;
}

/// The height that the steps about the `at`th have where they are drawn in full.
double full_height(const FilmedGroup& group, std::size_t at, std::size_t place) {
  constexpr std::size_t kAround = 6;
  constexpr double kFull = 0.8;
  std::vector<double> heights;
  const std::size_t first = at > kAround ? at - kAround : 0;
  for (std::size_t i = first; i < group.steps.size() && i <= at + kAround; ++i) {
    heights.push_back(group.steps[i].places[place].height);
  }
  return quantile_of(heights, kFull);
}

}  // namespace

double level_error(const FilmedGroup& lamp, const FilmedGroup& patch, bool lossless) {
  constexpr std::size_t kEnough = 5;
  const double unknown = lossless ? 0.003 : 0.015;
  const double least = lossless ? 0.001 : 0.004;
  if (lamp.heights.size() < kEnough) {
    return unknown;
  }
  const double error =
      std::min(deviation(changes_of(lamp.heights)), deviation(changes_beside(lamp, patch)));
  return std::max(error, least);
}

void share_height(FilmedGroup& group, const FilmedGroup& other) {
  constexpr std::size_t kEnough = 5;
  constexpr double kMost = 0.06;  // what is off by more is no coder's doing
  constexpr double kCommon = 0.7;
  const double own = deviation(changes_of(group.heights));
  if (group.steps.size() < kEnough || own > kMost ||
      deviation(changes_beside(group, other)) < kCommon * own) {
    return;
  }
  for (std::size_t i = 0; i < group.steps.size(); ++i) {
    for (std::size_t p = 0; p < group.steps[i].places.size(); ++p) {
      PlaceSeries& place = group.steps[i].places[p];
      const double ratio = place.height / full_height(group, i, p);
      if (std::abs(ratio - 1) > kMost) {
        continue;
      }
      place.settled = ratio;
      for (float& share : place.share) {
        share *= static_cast<float>(ratio);
      }
    }
  }
}

}  // namespace thumblight::onset
