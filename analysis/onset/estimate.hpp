#pragma once

#include <cmath>

namespace thumblight::onset {

/// A value with its standard uncertainty.
struct Estimate {
  double value = 0;
  double u = 0;
};

/// What two independent estimates say together, each weighted by 1 / u^2; neither may be certain.
inline Estimate joined(const Estimate& a, const Estimate& b) {
  const double weight_a = 1 / (a.u * a.u);
  const double weight_b = 1 / (b.u * b.u);
  return {(a.value * weight_a + b.value * weight_b) / (weight_a + weight_b),
          1 / std::sqrt(weight_a + weight_b)};
}

}  // namespace thumblight::onset
