#include "analysis/timing/linked_clock.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/onset/estimate.hpp"

namespace thumblight::timing {
namespace {

constexpr double kLeastU_s = 1e-9;
constexpr std::size_t kFewestForWild = 5;

struct Weighted {
  double x_s = 0;
  double offset_s = 0;
  double weight = 1;
  double shift_s = 0;
};

bool all_stated(const std::vector<OffsetReading>& readings) {
  return std::all_of(readings.begin(), readings.end(),
                     [](const OffsetReading& reading) { return reading.u_s.has_value(); });
}

std::vector<OffsetReading> without_wild(const std::vector<OffsetReading>& readings) {
  if (readings.size() < kFewestForWild) {
    return readings;
  }
  std::vector<Point> points;
  points.reserve(readings.size());
  for (const OffsetReading& reading : readings) {
    points.push_back({reading.x_s, reading.offset_s});
  }
  const std::vector<double> left = residuals(points, robust_line(points, kLargestRateError));
  constexpr double kFarthest = 5;
  const double sd_s = robust_sd(left);
  std::vector<OffsetReading> kept;
  for (std::size_t k = 0; k < readings.size(); ++k) {
    if (std::abs(left[k]) <= kFarthest * std::max({sd_s, readings[k].u_s.value_or(0), kLeastU_s})) {
      kept.push_back(readings[k]);
    }
  }
  return kept;
}

std::vector<Weighted> weigh(const std::vector<OffsetReading>& readings, bool stated) {
  std::vector<Weighted> weighted;
  weighted.reserve(readings.size());
  for (const OffsetReading& reading : readings) {
    const double u_s = stated ? std::max(*reading.u_s, kLeastU_s) : 1;
    weighted.push_back({reading.x_s, reading.offset_s, 1 / (u_s * u_s), reading.shift_s});
  }
  return weighted;
}

/// The rate that the lights tell; empty where they tell none.
std::optional<onset::Estimate> rate_of(const std::optional<Drift>& lights) {
  constexpr double kPpm = 1e6;
  if (!lights) {
    return std::nullopt;
  }
  return onset::Estimate{lights->rate_ppm / kPpm, std::max(lights->u_ppm / kPpm, 1e-12)};
}

class Fit {
 public:
  explicit Fit(const std::vector<Weighted>& readings) : readings_(readings) {
    for (const Weighted& reading : readings) {
      weight_ += reading.weight;
      x_s_ += (reading.x_s - x_s_) * reading.weight / weight_;
      offset_s_ += (reading.offset_s - offset_s_) * reading.weight / weight_;
    }
    for (const Weighted& reading : readings) {
      const double x_s = reading.x_s - x_s_;
      xx_ += reading.weight * x_s * x_s;
      xy_ += reading.weight * x_s * (reading.offset_s - offset_s_);
      shift_ += reading.weight * reading.shift_s;
      turn_ += reading.weight * std::abs(x_s) * reading.shift_s;
    }
  }

  double x_s() const { return x_s_; }
  double offset_s() const { return offset_s_; }
  bool has_rate() const { return readings_.size() > 2 && xx_ > 0; }
  double own_rate() const { return xy_ / xx_; }

  /// Standard uncertainties, where a reading of weight 1 has this variance.
  double u_offset(double variance) const {
    return std::hypot(std::sqrt(variance / weight_), shift_ / weight_ / std::sqrt(3.0));
  }
  double u_rate(double variance) const {
    return std::hypot(std::sqrt(variance / xx_), turn_ / xx_ / std::sqrt(3.0));
  }

  /// Variance of a reading of weight 1 about the line with this rate.
  double variance(double rate) const {
    double squares = 0;
    for (const Weighted& reading : readings_) {
      const double left = reading.offset_s - offset_s_ - rate * (reading.x_s - x_s_);
      squares += reading.weight * left * left;
    }
    return squares / static_cast<double>(readings_.size() - 2);
  }

 private:
  const std::vector<Weighted>& readings_;
  double weight_ = 0;
  double x_s_ = 0;
  double offset_s_ = 0;
  double xx_ = 0;
  double xy_ = 0;
  double shift_ = 0;  ///< weighted sum of the shifts: all to one side
  double turn_ = 0;   ///< the same with their distances: early ones to one side, late to the other
};

}  // namespace

double LinkedClock::u_at(double x_s) const {
  return std::hypot(u_offset_s, u_theta1 * (x_s - x_mean_s));
}

LinkedClock link_clock(const std::vector<OffsetReading>& readings, double half_width_s,
                       const std::optional<Drift>& lights) {
  const std::vector<OffsetReading> kept = without_wild(readings);
  const bool stated = all_stated(kept);
  const std::vector<Weighted> weighted = weigh(kept, stated);
  const Fit fit(weighted);
  std::optional<onset::Estimate> rate = rate_of(lights);
  // What the readings state may be too good: then their scatter counts (the Birge ratio).
  double variance = stated ? 1 : 0;
  if (fit.has_rate()) {
    variance = std::max(variance, fit.variance(fit.own_rate()));
    const onset::Estimate own{std::clamp(fit.own_rate(), -kLargestRateError, kLargestRateError),
                              std::max(fit.u_rate(variance), 1e-12)};
    rate = rate ? onset::joined(own, *rate) : own;
  }
  const onset::Estimate known =
      rate.value_or(onset::Estimate{0, kLargestRateError / std::sqrt(3.0)});
  return {fit.x_s(),    fit.offset_s(), fit.u_offset(variance), known.value, known.u,
          half_width_s, kept.size()};
}

}  // namespace thumblight::timing
