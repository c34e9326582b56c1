#include "analysis/timing/drift.hpp"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace thumblight::timing {
namespace {

constexpr double kPpm = 1e6;

/// The points that a straight line can be laid through.
std::vector<Point> without_wild(const std::vector<Point>& points) {
  constexpr double kFarthest = 4;
  constexpr double kLeast_s = 1e-6;
  const Line line = robust_line(points, kLargestRateError);
  const std::vector<double> left = residuals(points, line);
  const double farthest_s = std::max(kFarthest * robust_sd(left), kLeast_s);
  std::vector<Point> kept;
  kept.reserve(points.size());
  for (std::size_t k = 0; k < points.size(); ++k) {
    if (std::abs(left[k]) <= farthest_s) {
      kept.push_back(points[k]);
    }
  }
  return kept;
}

Point mean_of(const std::vector<Point>& points) {
  Point mean;
  double n = 0;
  for (const Point& point : points) {
    n += 1;
    mean.x += (point.x - mean.x) / n;
    mean.y += (point.y - mean.y) / n;
  }
  return mean;
}

}  // namespace

std::optional<Drift> drift_of(const std::vector<Point>& points) {
  if (points.size() < kFewestForDrift) {
    return std::nullopt;
  }
  const std::vector<Point> kept = without_wild(points);
  const Point mean = mean_of(kept);
  double xx = 0;
  double xy = 0;
  for (const Point& point : kept) {
    xx += (point.x - mean.x) * (point.x - mean.x);
    xy += (point.x - mean.x) * (point.y - mean.y);
  }
  if (kept.size() < kFewestForDrift || xx <= 0) {
    return std::nullopt;
  }
  const double slope = std::clamp(xy / xx, -kLargestRateError, kLargestRateError);
  double squares = 0;
  for (const Point& point : kept) {
    const double left = point.y - mean.y - slope * (point.x - mean.x);
    squares += left * left;
  }
  const double sd_s = std::sqrt(squares / static_cast<double>(kept.size() - 2));
  return Drift{slope * kPpm, sd_s / std::sqrt(xx) * kPpm, kept.size(), sd_s};
}

RateRange rates_within(const Drift& drift) {
  constexpr double kTail = 5e-5;
  const boost::math::students_t student(static_cast<double>(drift.n - 2));
  const double reach = boost::math::quantile(boost::math::complement(student, kTail)) * drift.u_ppm;
  return {std::max((drift.rate_ppm - reach) / kPpm, -kLargestRateError),
          std::min((drift.rate_ppm + reach) / kPpm, kLargestRateError)};
}

}  // namespace thumblight::timing
