#include "analysis/timing/trend.hpp"

#include <algorithm>

namespace thumblight::timing {
namespace {

/// Points to a knot: enough for a steady median, few enough to follow a clock's wander.
constexpr std::size_t kPointsPerKnot = 32;
constexpr std::size_t kFewestKnots = 3;

Point knot_of(const std::vector<Point>& points, const std::vector<double>& left,
              std::size_t first) {
  std::vector<double> x;
  std::vector<double> y;
  for (std::size_t k = first; k < first + kPointsPerKnot; ++k) {
    x.push_back(points[k].x);
    y.push_back(left[k]);
  }
  return {median(std::move(x)), median(std::move(y))};
}

double between(const Point& a, const Point& b, double x) {
  const double run = b.x - a.x;
  return run > 0 ? a.y + (b.y - a.y) * (x - a.x) / run : a.y;
}

}  // namespace

Trend::Trend(const std::vector<Point>& points, double largest_rate)
    : line_(robust_line(points, largest_rate)) {
  if (points.size() < kFewestKnots * kPointsPerKnot) {
    return;
  }
  const std::vector<double> left = residuals(points, line_);
  for (std::size_t k = 0; k + kPointsPerKnot <= points.size(); k += kPointsPerKnot) {
    knots_.push_back(knot_of(points, left, k));
  }
}

double Trend::at(double x_s) const {
  if (knots_.empty()) {
    return line_.at(x_s);
  }
  const auto above = std::lower_bound(knots_.begin(), knots_.end(), x_s,
                                      [](const Point& knot, double x) { return knot.x < x; });
  if (above == knots_.begin()) {
    return line_.at(x_s) + above->y;
  }
  if (above == knots_.end()) {
    return line_.at(x_s) + knots_.back().y;
  }
  return line_.at(x_s) + between(*(above - 1), *above, x_s);
}

Trend Trend::shifted(double shift_s) const {
  Trend other = *this;
  other.line_.intercept += shift_s;
  return other;
}

}  // namespace thumblight::timing
