#pragma once

#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/timing/robust_line.hpp"

namespace thumblight::timing {

/// What ties the host's clock to the recording's; docs of each in `split.hpp`.
enum class ClockLinkKind { kNone, kCausality, kShared };

const char* name(ClockLinkKind kind);
std::optional<ClockLinkKind> clock_link_of(std::string_view name);

/// The link to use where none is asked for: none without a log, shared where the recording is
/// stamped on the host's clock, else causality.
ClockLinkKind default_clock_link(const onset::RecordingClock& clock, bool has_log);

/// The largest rate error between two clocks that is believed: a recording marked 60 images a
/// second that runs at 59.94 is off by 0.1 %, a quartz by 0.01 %.
inline constexpr double kLargestRateError = 0.005;

/// How much faster the host's clock runs than the recording's.
struct Drift {
  double rate_ppm = 0;
  double u_ppm = 0;  ///< standard uncertainty
  std::size_t n = 0;
};

inline constexpr std::size_t kFewestForDrift = 10;

/// The drift from the lights alone, because the screen portion does not drift: `points` are
/// (light, submit - light) in seconds. Empty for fewer than `kFewestForDrift` points.
std::optional<Drift> drift_of(const std::vector<Point>& points);

}  // namespace thumblight::timing
