#pragma once

#include <vector>

namespace thumblight::onset {

/// Fewer times than this cannot be told from chance.
inline constexpr int kFewestLikeTimes = 4;

/// Whether so many of the times lie within `within_s` of the middle one as chance would bring
/// together in one film of five hundred. `by_chance` is how likely one that has nothing to do with
/// the others lies there. The number that do is binomial, since each does or does not by itself.
bool are_alike(const std::vector<double>& times_s, double within_s, double by_chance);

}  // namespace thumblight::onset
