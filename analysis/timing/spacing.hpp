#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/timing/trend.hpp"

/// Lays two series of the same events against one another by their spacing alone. The clocks have
/// an unknown offset and a rate error; events may be missing on either side, many in a row.
namespace thumblight::timing {

struct OffsetRange {
  double low_s = 0;
  double high_s = 0;
};

struct SpacingLimits {
  double largest_rate = 0.005;          ///< of the rate error between the clocks
  std::optional<OffsetRange> offset_s;  ///< of host - recording, where it is known
};

/// Event `logged` of the host and event `recorded` of the recording are one.
struct Match {
  std::size_t logged = 0;
  std::size_t recorded = 0;
};

/// What the spacing says.
enum class Certainty {
  kClear,
  kUnchecked,  ///< one layout, yet too few events to rule out chance
  kAmbiguous,  ///< another layout explains the events as well
  kFailed,     ///< no layout at all
};

struct SpacingFit {
  std::vector<Match> matches;  ///< strictly increasing on both sides
  Trend trend;                 ///< of host - recording, seconds
  double tolerance_s = 0;      ///< how far from the trend a match may lie
  double score = 0;            ///< logarithm of how much better than chance, natural units
  Certainty certainty = Certainty::kFailed;
};

/// How far from their trend events may lie that are spread about it by `spread_s`, a robust
/// standard deviation.
double tolerance_of(double spread_s);

/// `host_s` and `recording_s` are in order of time, each relative to an instant near its series.
/// About linear in the number of events.
SpacingFit fit_spacing(const std::vector<double>& host_s, const std::vector<double>& recording_s,
                       const SpacingLimits& limits = {});

}  // namespace thumblight::timing
