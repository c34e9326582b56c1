#include "analysis/timing/robust_line.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::timing {
namespace {

constexpr std::size_t kMostForSlope = 1000;

std::vector<Point> evenly_spread(const std::vector<Point>& points) {
  if (points.size() <= kMostForSlope) {
    return points;
  }
  std::vector<Point> some;
  some.reserve(kMostForSlope);
  for (std::size_t k = 0; k < kMostForSlope; ++k) {
    some.push_back(points[k * (points.size() - 1) / (kMostForSlope - 1)]);
  }
  return some;
}

double median_slope(const std::vector<Point>& points) {
  std::vector<double> slopes;
  slopes.reserve(points.size() * (points.size() - 1) / 2);
  for (std::size_t a = 0; a < points.size(); ++a) {
    for (std::size_t b = a + 1; b < points.size(); ++b) {
      const double run = points[b].x - points[a].x;
      if (run != 0) {
        slopes.push_back((points[b].y - points[a].y) / run);
      }
    }
  }
  return median(std::move(slopes));
}

}  // namespace

double median(std::vector<double> values) {
  if (values.empty()) {
    return 0;
  }
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) {
    return *middle;
  }
  return (*std::max_element(values.begin(), middle) + *middle) / 2;
}

double robust_sd(const std::vector<double>& values) {
  const double centre = median(values);
  std::vector<double> deviations;
  deviations.reserve(values.size());
  for (const double value : values) {
    deviations.push_back(std::abs(value - centre));
  }
  constexpr double kToNormal = 1.482602218505602;  // 1 / the 0.75 quantile of a normal
  return kToNormal * median(std::move(deviations));
}

Line robust_line(const std::vector<Point>& points, double steepest) {
  Line line;
  line.slope = std::clamp(median_slope(evenly_spread(points)), -steepest, steepest);
  line.intercept = median(residuals(points, line));
  return line;
}

std::vector<double> residuals(const std::vector<Point>& points, const Line& line) {
  std::vector<double> left;
  left.reserve(points.size());
  for (const Point& point : points) {
    left.push_back(point.y - line.at(point.x));
  }
  return left;
}

}  // namespace thumblight::timing
