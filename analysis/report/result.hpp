#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/report/variation.hpp"
#include "analysis/statistics/budget.hpp"
#include "analysis/statistics/location.hpp"
#include "analysis/statistics/outliers.hpp"
#include "analysis/statistics/summary.hpp"
#include "analysis/statistics/trend.hpp"
#include "analysis/timing/split.hpp"
#include "harness/session/records.hpp"

/// What one session came to: the one record that terminal, JSON and every other writer read.
namespace thumblight::report {

/// A portion over all presses, in milliseconds: a summary, or bounds of the mean, or neither.
struct PortionResult {
  std::optional<statistics::Summary> summary;
  std::optional<timing::Bounds> mean_bounds;
  /// Standard uncertainty of one value from its instants (root mean square); empty where unknown.
  std::optional<double> value_u_ms;
  std::optional<statistics::Budget> budget;  ///< of the mean; empty where there is no summary
  /// 95 % interval of the mean from the whole budget, see `covering_half_width`.
  std::optional<statistics::Interval> mean_interval;
  std::optional<statistics::OrderInterval> median_interval;  ///< of the scatter alone
  std::optional<statistics::OutlierReport> outliers;         ///< by place among `presses`
  std::optional<statistics::Trend> course;                   ///< ms a press, along the session
  std::vector<std::size_t> presses;  ///< which of the split's presses have a value, in order
};

/// One file that a result was made from, as it was then.
struct InputFile {
  std::string name;  ///< in the session's folder
  std::uintmax_t bytes = 0;
  std::int64_t modified_ns = 0;  ///< after 1970-01-01T00:00Z, leap seconds left out
  std::string digest;
};

/// What a result was made from.
struct Provenance {
  std::string program;  ///< version of the analysis
  std::string options;  ///< those that change the result, as the command line would have them
  std::vector<InputFile> inputs;
};

struct Result {
  timing::Split split;
  timing::PerPortion<PortionResult> portions;
  std::optional<Variation> variation;  ///< empty without a log
  onset::RecordingInfo recording;
  std::map<std::string, std::string> labels;
  std::string pacing;                   ///< empty without a log
  std::optional<Provenance> made_from;  ///< empty where nobody has kept track
  /// How the instants were found (`onset::Instant::how`), and how many of them each way.
  std::map<std::string, std::size_t> presses_by;
  std::map<std::string, std::size_t> lights_by;
  std::optional<onset::HandMarks> by_hand;  ///< what a person marked on the frames, if anything
};

/// `log` is null where there is none.
Result make_result(timing::Split split, const onset::Timings& timings, const session::Log* log);

}  // namespace thumblight::report
