#pragma once

#include <cstddef>
#include <vector>

/// What a camera makes of a step of light.
namespace thumblight::onset {

/// How the light rises: a first-order approach (time constant `decay_s`) smoothed by a triangle
/// that is `ramp_s` wide. Either may be 0; together they cover exponentials and S-shapes.
struct EdgeShape {
  double ramp_s = 0;
  double decay_s = 0;
};

/// Share of the step made `t_s` after it began.
double step_share(const EdgeShape& shape, double t_s);

/// When the step has made `share` of itself (0 < share < 1), after its beginning.
double share_time_s(const EdgeShape& shape, double share);

/// The 10-90 % rise time.
double rise_time_s(const EdgeShape& shape);

/// Mean share of the step over an exposure of `exposure_s` that began `start_s` after the step,
/// itself averaged over a spread of `spread_s` (rows that are lit one after another), in closed
/// form.
double exposed_share(const EdgeShape& shape, double exposure_s, double spread_s, double start_s);

/// The same from a table, for the many values that a fit takes.
class EdgeResponse {
 public:
  EdgeResponse(const EdgeShape& shape, double exposure_s, double spread_s);

  /// Adds errors to the levels between the ends: `low` is greatest at a quarter of the step, `high`
  /// at three quarters.
  void distort(double low, double high);

  double operator()(double start_s) const {
    const double place = (start_s - first_s_) * per_s_;
    if (place <= 0) {
      return 0;
    }
    const auto index = static_cast<std::size_t>(place);
    if (index + 1 >= values_.size()) {
      return 1;
    }
    const double part = place - static_cast<double>(index);
    return values_[index] + part * (values_[index + 1] - values_[index]);
  }
  /// The start at which the response has the value `share`, 0 < share < 1.
  double start_of(double share) const;
  /// From the first response to the last, in seconds relative to the step's beginning.
  double first_s() const { return first_s_; }
  double last_s() const { return first_s_ + static_cast<double>(values_.size() - 1) / per_s_; }

 private:
  double first_s_ = 0;
  double per_s_ = 1;
  std::vector<double> values_;
};

}  // namespace thumblight::onset
