#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "analysis/report/comparison.hpp"
#include "analysis/report/result.hpp"

/// Charts of a result as pictures: SVG files of 1920 x 1080 pixels, a video frame, with no text
/// smaller than 28 pixels; `png_of` makes PNG files of them.
namespace thumblight::report::chart {

enum class ChartKind {
  kBars,         ///< means as bars, split into their portions, with intervals and bounds
  kPresses,      ///< every press as a dot
  kDistribution  ///< how often each time was met
};

/// "bars", "presses" or "distribution"; empty for any other word.
std::optional<ChartKind> chart_kind_of(const std::string& name);

/// Of one session, portion by portion. Throws `Error` where no total is known.
std::string session_chart(const Result& result, ChartKind kind);

/// More set-ups than this are too many for one picture.
inline constexpr std::size_t kMostSetUps = 12;

/// Of several set-ups, the one that answers soonest at the top; of more than `kMostSetUps` the
/// soonest, and a note. Throws `Error` where no total is known of any.
std::string comparison_chart(const ComparisonResult& comparison, ChartKind kind);

/// The answer of a comparison in a sentence, without its full stop.
std::string finding(const ComparisonResult& comparison);

}  // namespace thumblight::report::chart
