#include "analysis/statistics/pairwise_slopes.hpp"

#include <algorithm>
#include <vector>

#include "analysis/statistics/ordered_double.hpp"

namespace thumblight::statistics {

namespace {

struct Point {
  double x;
  double y;
};

class ListedSlopes : public PairwiseSlopes {
 public:
  ListedSlopes(std::span<const double> x, std::span<const double> y) {
    slopes_.reserve(x.size() * (x.size() - 1) / 2);
    for (std::size_t i = 0; i < x.size(); ++i) {
      for (std::size_t j = i + 1; j < x.size(); ++j) {
        if (x[i] != x[j]) {
          slopes_.push_back((y[j] - y[i]) / (x[j] - x[i]));
        }
      }
    }
    std::sort(slopes_.begin(), slopes_.end());
  }

  std::uint64_t size() const override { return slopes_.size(); }

  double at_rank(std::uint64_t rank) const override { return slopes_[rank - 1]; }

 private:
  std::vector<double> slopes_;
};

/// Sorts `values` and counts the pairs i < j with values[j] <= values[i] as they were given.
std::uint64_t sort_counting_not_rising(std::span<double> values, std::vector<double>& spare) {
  if (values.size() < 2) {
    return 0;
  }
  const std::span<double> left = values.first(values.size() / 2);
  const std::span<double> right = values.subspan(values.size() / 2);
  std::uint64_t count =
      sort_counting_not_rising(left, spare) + sort_counting_not_rising(right, spare);
  spare.clear();
  auto next_left = left.begin();
  for (const double value : right) {
    while (next_left != left.end() && *next_left < value) {
      spare.push_back(*next_left++);
    }
    count += static_cast<std::uint64_t>(left.end() - next_left);
    spare.push_back(value);
  }
  spare.insert(spare.end(), next_left, left.end());
  std::copy(spare.begin(), spare.end(), values.begin());
  return count;
}

class CountedSlopes : public PairwiseSlopes {
 public:
  CountedSlopes(std::span<const double> x, std::span<const double> y) {
    const double x_origin = x.front();
    const double y_origin = y.front();
    points_.reserve(x.size());
    for (std::size_t i = 0; i < x.size(); ++i) {
      points_.push_back({x[i] - x_origin, y[i] - y_origin});
    }
    std::sort(points_.begin(), points_.end(), [](const Point& first, const Point& second) {
      return first.x != second.x ? first.x < second.x : first.y < second.y;
    });
    count_columns();
    steepest_ = steepest();
  }

  std::uint64_t size() const override {
    return std::uint64_t{points_.size()} * (points_.size() - 1) / 2 - same_x_;
  }

  double at_rank(std::uint64_t rank) const override {
    return least_double_that(-steepest_, steepest_,
                             [&](double slope) { return count_up_to(slope) >= rank; });
  }

 private:
  /// Points of equal x stand with rising y, so that of their pairs only those of equal y are
  /// counted, whatever the slope.
  void count_columns() {
    std::uint64_t with_same_x = 0;
    std::uint64_t with_same_point = 0;
    for (std::size_t i = 1; i < points_.size(); ++i) {
      const bool x_equal = points_[i].x == points_[i - 1].x;
      with_same_x = x_equal ? with_same_x + 1 : 0;
      with_same_point = x_equal && points_[i].y == points_[i - 1].y ? with_same_point + 1 : 0;
      same_x_ += with_same_x;
      same_point_ += with_same_point;
    }
  }

  double steepest() const {
    const auto [low, high] = std::minmax_element(
        points_.begin(), points_.end(), [](const Point& a, const Point& b) { return a.y < b.y; });
    double closest = points_.back().x - points_.front().x;
    for (std::size_t i = 1; i < points_.size(); ++i) {
      const double apart = points_[i].x - points_[i - 1].x;
      closest = apart > 0 ? std::min(closest, apart) : closest;
    }
    return (high->y - low->y) / closest;
  }

  std::uint64_t count_up_to(double slope) const {
    std::vector<double> residuals;
    std::vector<double> spare;
    residuals.reserve(points_.size());
    spare.reserve(points_.size());
    for (const Point& point : points_) {
      residuals.push_back(point.y - slope * point.x);
    }
    // A slope above the steepest must count every pair, even where rounding hides the last one.
    return slope >= steepest_ ? size() : sort_counting_not_rising(residuals, spare) - same_point_;
  }

  std::vector<Point> points_;
  std::uint64_t same_x_ = 0;
  std::uint64_t same_point_ = 0;
  double steepest_ = 0;
};

}  // namespace

std::unique_ptr<PairwiseSlopes> listed_slopes(std::span<const double> x,
                                              std::span<const double> y) {
  return std::make_unique<ListedSlopes>(x, y);
}

std::unique_ptr<PairwiseSlopes> counted_slopes(std::span<const double> x,
                                               std::span<const double> y) {
  return std::make_unique<CountedSlopes>(x, y);
}

}  // namespace thumblight::statistics
