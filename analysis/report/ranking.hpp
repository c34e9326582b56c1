#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/report/compared_session.hpp"
#include "analysis/timing/portions.hpp"

namespace thumblight::report {

/// The places that a session may have, 1 for the soonest: from one more than the sessions that
/// are resolved to be sooner, to all less those that are resolved to be later.
struct RankRange {
  std::size_t best = 1;
  std::size_t worst = 1;

  bool tied() const { return best != worst; }
};

/// The ranks by the mean of a portion; empty for a session of which neither mean nor bounds are
/// known, which takes no part.
///
/// Every pair is judged as `compare` judges it: Welch's probability after Holm over all pairs at
/// most 1 - level, and the difference greater than its interval, instruments included. So with
/// probability `level` all ranges hold their true place at once (the ends of the ranges follow from
/// the pairs). A mean is held against bounds at their nearer end, and bounds against bounds are
/// resolved where they do not meet. Two sessions that have one press are never resolved.
///
/// Time grows with the square of the sessions, memory by 24 bytes for each pair that may be
/// resolved.
std::vector<std::optional<RankRange>> rank_sessions(const std::vector<ComparedSession>& sessions,
                                                    timing::Portion portion, double level = 0.95);

}  // namespace thumblight::report
