#pragma once

#include <optional>
#include <span>

#include "analysis/statistics/mean_difference.hpp"
#include "analysis/statistics/rank_shift.hpp"
#include "analysis/statistics/rank_sum.hpp"
#include "analysis/statistics/spread.hpp"

namespace thumblight::statistics {

/// Everything that two samples of the same unit say about each other; differences are A less B.
/// A part that the samples are too few or too even for is absent.
struct Comparison {
  std::optional<MeanDifference> means;
  std::optional<Shift> shift;
  std::optional<RankSumTest> ranks;
  std::optional<FasterProbability> a_faster;
  std::optional<SpreadTest> spread;
};

/// Throws `Error` at a value that is not finite.
Comparison compare(std::span<const double> a, std::span<const double> b, double level = 0.95);

}  // namespace thumblight::statistics
