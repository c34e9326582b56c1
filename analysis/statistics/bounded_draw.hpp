#pragma once

#include <cstdint>
#include <random>

namespace thumblight::statistics {

/// Whole numbers below a bound, each equally likely, the same on every platform for the same seed:
/// the C++ standard fixes the numbers of mt19937_64 but not those of its distributions.
/// Multiply, take the upper half, draw again for the few values that would favour some numbers
/// (Lemire, ACM TOMACS 29, 2019); the two halves of each 64-bit number are used in turn, upper
/// first.
class BoundedDraw {
 public:
  explicit BoundedDraw(std::uint64_t seed) : engine_(seed) {}

  /// A number from 0 to bound - 1; `bound` is at least 1.
  std::uint32_t below(std::uint32_t bound) {
    const std::uint32_t favoured = (0U - bound) % bound;
    return below(bound, favoured);
  }

  /// The same for many draws: `favoured` is 2^32 modulo `bound`, reckoned once.
  std::uint32_t below(std::uint32_t bound, std::uint32_t favoured) {
    std::uint64_t product = 0;
    do {
      product = std::uint64_t{next_half()} * bound;
    } while (static_cast<std::uint32_t>(product) < favoured);
    return static_cast<std::uint32_t>(product >> 32U);
  }

 private:
  std::uint32_t next_half() {
    if (lower_waits_) {
      lower_waits_ = false;
      return static_cast<std::uint32_t>(drawn_);
    }
    drawn_ = engine_();
    lower_waits_ = true;
    return static_cast<std::uint32_t>(drawn_ >> 32U);
  }

  std::mt19937_64 engine_;
  std::uint64_t drawn_ = 0;
  bool lower_waits_ = false;
};

}  // namespace thumblight::statistics
