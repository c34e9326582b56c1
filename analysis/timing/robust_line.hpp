#pragma once

#include <cstddef>
#include <vector>

namespace thumblight::timing {

struct Point {
  double x = 0;
  double y = 0;
};

struct Line {
  double slope = 0;
  double intercept = 0;  ///< at x = 0
  double at(double x) const { return intercept + slope * x; }
};

/// The median; 0 for none. Between two middle values lies their mean.
double median(std::vector<double> values);

/// A standard deviation that wild values do not move: 1.4826 (of a normal distribution) times the
/// median absolute deviation from the median; 0 for none.
double robust_sd(const std::vector<double>& values);

/// The line whose slope is the median of all slopes between two points, held to
/// +-`steepest`, and whose intercept is the median of y - slope x (Theil, 1950; Sen, JASA 63,
/// 1968). Of more than a thousand points the slope takes a thousand, evenly spread. `points` must
/// not be empty.
Line robust_line(const std::vector<Point>& points, double steepest);

/// y - line(x) of each point.
std::vector<double> residuals(const std::vector<Point>& points, const Line& line);

}  // namespace thumblight::timing
