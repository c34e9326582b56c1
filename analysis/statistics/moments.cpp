#include "analysis/statistics/moments.hpp"

#include <cmath>

#include "analysis/statistics/checks.hpp"

namespace thumblight::statistics {

void Moments::add(double value) {
  if (n_ == 0) {
    origin_ = value;
  }
  ++n_;
  const double from_origin = value - origin_;
  const double before = from_origin - mean_from_origin_;
  mean_from_origin_ += before / static_cast<double>(n_);
  sum_of_squares_ += before * (from_origin - mean_from_origin_);
}

std::optional<double> Moments::mean() const {
  if (n_ == 0) {
    return std::nullopt;
  }
  return origin_ + mean_from_origin_;
}

std::optional<double> Moments::variance() const {
  if (n_ < 2) {
    return std::nullopt;
  }
  return sum_of_squares_ / static_cast<double>(n_ - 1);
}

std::optional<double> Moments::sd() const {
  const auto squared = variance();
  return squared ? std::optional(std::sqrt(*squared)) : std::nullopt;
}

std::optional<double> Moments::standard_error() const {
  const auto squared = variance();
  return squared ? std::optional(std::sqrt(*squared / static_cast<double>(n_))) : std::nullopt;
}

Moments moments(std::span<const double> values) {
  require_finite(values, "of a sample");
  Moments result;
  for (const double value : values) {
    result.add(value);
  }
  return result;
}

std::optional<double> lag1_autocorrelation(std::span<const double> values) {
  require_finite(values, "of a series");
  if (values.size() < 2) {
    return std::nullopt;
  }
  const double origin = values.front();
  Moments from_origin;
  for (const double value : values) {
    from_origin.add(value - origin);
  }
  const double mean = *from_origin.mean();
  double products = 0;
  double squares = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double here = (values[i] - origin) - mean;
    squares += here * here;
    if (i + 1 < values.size()) {
      products += here * ((values[i + 1] - origin) - mean);
    }
  }
  if (squares == 0) {
    return std::nullopt;
  }
  return products / squares;
}

}  // namespace thumblight::statistics
