#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "analysis/report/comparison.hpp"
#include "analysis/report/result.hpp"
#include "analysis/statistics/interval.hpp"
#include "analysis/timing/portions.hpp"

/// What charts draw, taken from results as it stands; nothing is worked out anew.
namespace thumblight::report::chart {

struct ChartedMean {
  double mean_ms = 0;
  double median_ms = 0;
  double p05_ms = 0;
  double p95_ms = 0;
  std::optional<double> sd_ms;
  std::optional<statistics::Interval> interval;  ///< of the mean; empty where nothing gives one
  std::size_t n = 0;                             ///< presses
};

/// One portion of one set-up: a mean, or bounds of it, or neither.
struct ChartedPortion {
  std::optional<ChartedMean> mean;
  std::optional<timing::Bounds> bounds_ms;
  std::vector<double> values_ms;  ///< press by press, in order of time
  std::vector<bool> outlying;     ///< flagged as outliers, one each
};

struct ChartedSetUp {
  std::string name;  ///< cleaned
  timing::PerPortion<ChartedPortion> portions;
  std::optional<double> frame_ms;    ///< of the camera
  std::optional<double> refresh_ms;  ///< of the display, as the log shows it

  const std::optional<ChartedMean>& total() const { return portions[timing::Portion::kTotal].mean; }
};

ChartedSetUp charted(const Result& result, const std::string& name);

/// The sessions in their order; bounds are those carried over between sessions where there are
/// some.
std::vector<ChartedSetUp> charted(const ComparisonResult& comparison);

/// "37.1 ± 1.2", or "37.1" without an interval; of bounds "5 to 12".
std::string value_text(const ChartedMean& mean);
std::string value_text(const timing::Bounds& bounds);

}  // namespace thumblight::report::chart
