#pragma once

#include <cstddef>
#include <optional>
#include <span>

namespace thumblight::statistics {

/// A sample that falls into two groups with a gap between them.
struct TwoClusters {
  std::size_t below = 0;  ///< values under the gap
  std::size_t above = 0;
  double gap = 0;        ///< from the greatest value below to the least above
  double distance = 0;   ///< between the groups' medians
  double threshold = 0;  ///< the gap that chance makes in 1 of 100 samples, or less often
};

/// Fewest values of a sample, and of a group.
inline constexpr std::size_t kFewestForClusters = 8;
inline constexpr std::size_t kFewestInCluster = 3;

/// Two groups, if the widest gap (in units of the standard deviation within the groups, of those
/// that leave at least 3 values and 3 % on either side) is wider than 2.7 + 35 / n. In samples of
/// one mode (uniform, normal, gamma of shape 1 and above) that happens at most once in 100, found
/// by simulation. Groups that run into each other are not found. The gap must also be wider than
/// `least_gap`, which keeps instants rounded to frames from making groups. Throws `Error` at a
/// value that is not finite.
std::optional<TwoClusters> find_two_clusters(std::span<const double> values, double least_gap);

}  // namespace thumblight::statistics
