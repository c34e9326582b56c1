#include "analysis/rehearsal/random.hpp"

#include <cmath>
#include <numbers>

namespace thumblight::rehearsal {

Random::Random(std::uint64_t seed, Stream stream) {
  std::seed_seq sequence{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32U),
                         static_cast<std::uint32_t>(stream)};
  engine_.seed(sequence);
}

double Random::uniform() {
  return static_cast<double>(engine_() >> 11U) * 0x1p-53;
}

double Random::uniform(double low, double high) {
  return low + (high - low) * uniform();
}

double Random::normal() {
  const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
  return radius * std::cos(2.0 * std::numbers::pi * uniform());
}

double Random::gamma(double shape, double scale) {
  if (shape < 1.0) {
    const double raised = gamma(shape + 1.0, scale);
    return raised * std::pow(1.0 - uniform(), 1.0 / shape);
  }
  const double d = shape - 1.0 / 3.0;
  const double c = 1.0 / std::sqrt(9.0 * d);
  for (;;) {
    const double x = normal();
    const double v = std::pow(1.0 + c * x, 3.0);
    if (v > 0.0 && std::log(1.0 - uniform()) < 0.5 * x * x + d - d * v + d * std::log(v)) {
      return d * v * scale;
    }
  }
}

bool Random::chance(double probability) {
  return uniform() < probability;
}

}  // namespace thumblight::rehearsal
