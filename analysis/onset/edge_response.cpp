#include "analysis/onset/edge_response.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace thumblight::onset {
namespace {

/// Shorter times than this are as good as none, and would lose digits in the differences below.
constexpr double kShortest_s = 2e-5;

/// Repeated integrals from 0 to t of 1 - exp(-t / decay), order 0 to 4.
std::array<double, 5> rise_integrals(double t_s, double decay_s) {
  if (t_s <= 0) {
    return {};
  }
  std::array<double, 5> integral{};
  integral[0] = decay_s < kShortest_s ? 1 : -std::expm1(-t_s / decay_s);
  const double decay = decay_s < kShortest_s ? 0 : decay_s;
  double power = 1;
  for (std::size_t order = 1; order < integral.size(); ++order) {
    power *= t_s / static_cast<double>(order);
    integral[order] = power - decay * integral[order - 1];
  }
  return integral;
}

/// Integral of order `order` (1 or 2) of the step's share, or the share itself (0).
double share_integral(const EdgeShape& shape, std::size_t order, double t_s) {
  if (shape.ramp_s < 2 * kShortest_s) {
    return rise_integrals(t_s, shape.decay_s)[order];
  }
  // A triangle is a box of half its width smoothed by another: second differences.
  const double half_s = shape.ramp_s / 2;
  return (rise_integrals(t_s, shape.decay_s)[order + 2] -
          2 * rise_integrals(t_s - half_s, shape.decay_s)[order + 2] +
          rise_integrals(t_s - shape.ramp_s, shape.decay_s)[order + 2]) /
         (half_s * half_s);
}

double longest_s(const EdgeShape& shape) {
  return shape.ramp_s + 7 * shape.decay_s;
}

}  // namespace

double step_share(const EdgeShape& shape, double t_s) {
  return share_integral(shape, 0, t_s);
}

double share_time_s(const EdgeShape& shape, double share) {
  double low = 0;
  double high = longest_s(shape) + kShortest_s;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (step_share(shape, middle) < share ? low : high) = middle;
  }
  return (low + high) / 2;
}

double rise_time_s(const EdgeShape& shape) {
  return share_time_s(shape, 0.9) - share_time_s(shape, 0.1);
}

double exposed_share(const EdgeShape& shape, double exposure_s, double spread_s, double start_s) {
  const double exposure = std::max(exposure_s, kShortest_s);
  const double end_s = start_s + exposure;
  if (spread_s < kShortest_s) {
    return (share_integral(shape, 1, end_s) - share_integral(shape, 1, start_s)) / exposure;
  }
  const double half = spread_s / 2;
  return (share_integral(shape, 2, end_s + half) - share_integral(shape, 2, end_s - half) -
          share_integral(shape, 2, start_s + half) + share_integral(shape, 2, start_s - half)) /
         (exposure * spread_s);
}

EdgeResponse::EdgeResponse(const EdgeShape& shape, double exposure_s, double spread_s) {
  first_s_ = -exposure_s - spread_s / 2 - kShortest_s;
  const double last_s = longest_s(shape) + spread_s / 2 + kShortest_s;
  constexpr double kPoints = 288;
  per_s_ = kPoints / (last_s - first_s_);
  for (int i = 0; i <= static_cast<int>(kPoints); ++i) {
    values_.push_back(exposed_share(shape, exposure_s, spread_s, first_s_ + i / per_s_));
  }
  values_.back() = 1;
}

void EdgeResponse::distort(double low, double high) {
  constexpr double kToOne = 256.0 / 27;  // 1 / greatest value of s (1 - s)^3
  for (double& value : values_) {
    const double rest = 1 - value;
    value += kToOne * value * rest * (rest * rest * low + value * value * high);
  }
}

double EdgeResponse::start_of(double share) const {
  const auto above = std::upper_bound(values_.begin(), values_.end(), share);
  const auto index = std::clamp<std::ptrdiff_t>(above - values_.begin(), 1,
                                                static_cast<std::ptrdiff_t>(values_.size()) - 1);
  const double low = values_[static_cast<std::size_t>(index) - 1];
  const double high = values_[static_cast<std::size_t>(index)];
  const double part = high > low ? std::clamp((share - low) / (high - low), 0.0, 1.0) : 0.5;
  return first_s_ + (static_cast<double>(index) - 1 + part) / per_s_;
}

}  // namespace thumblight::onset
