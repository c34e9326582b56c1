#include "analysis/timing/clock_link.hpp"

#include <array>
#include <cmath>
#include <utility>

namespace thumblight::timing {
namespace {

constexpr std::array<std::pair<ClockLinkKind, const char*>, 3> kNames = {
    {{ClockLinkKind::kNone, "none"},
     {ClockLinkKind::kCausality, "causality"},
     {ClockLinkKind::kShared, "shared"}}};

double sum_of_squares(const std::vector<Point>& points) {
  double mean = 0;
  double n = 0;
  for (const Point& point : points) {
    n += 1;
    mean += (point.x - mean) / n;
  }
  double squares = 0;
  for (const Point& point : points) {
    squares += (point.x - mean) * (point.x - mean);
  }
  return squares;
}

}  // namespace

const char* name(ClockLinkKind kind) {
  for (const auto& [known, text] : kNames) {
    if (known == kind) {
      return text;
    }
  }
  return "";
}

std::optional<ClockLinkKind> clock_link_of(std::string_view name) {
  for (const auto& [kind, text] : kNames) {
    if (text == name) {
      return kind;
    }
  }
  return std::nullopt;
}

ClockLinkKind default_clock_link(const onset::RecordingClock& clock, bool has_log) {
  if (!has_log) {
    return ClockLinkKind::kNone;
  }
  return clock.source == "host" ? ClockLinkKind::kShared : ClockLinkKind::kCausality;
}

std::optional<Drift> drift_of(const std::vector<Point>& points) {
  if (points.size() < kFewestForDrift) {
    return std::nullopt;
  }
  const double squares = sum_of_squares(points);
  if (squares <= 0) {
    return std::nullopt;
  }
  const Line line = robust_line(points, kLargestRateError);
  // The slope of least squares for normal errors; the robust one is 95.5 % as efficient
  // (Sen, JASA 63, 1968).
  const double u = robust_sd(residuals(points, line)) / std::sqrt(0.955 * squares);
  return Drift{line.slope * 1e6, u * 1e6, points.size()};
}

}  // namespace thumblight::timing
