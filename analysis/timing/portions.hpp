#pragma once

#include <array>
#include <cstddef>
#include <optional>

namespace thumblight::timing {

/// The segments of one press, from the contact to the light.
enum class Portion { kTotal, kDelivery, kRender, kScreen, kDisplay, kRemainder };

inline constexpr std::size_t kPortionCount = 6;
inline constexpr std::array<Portion, kPortionCount> kPortions = {
    Portion::kTotal,  Portion::kDelivery, Portion::kRender,
    Portion::kScreen, Portion::kDisplay,  Portion::kRemainder};

/// One thing a portion.
template <typename Value>
class PerPortion {
 public:
  Value& operator[](Portion portion) { return values_[static_cast<std::size_t>(portion)]; }
  const Value& operator[](Portion portion) const {
    return values_[static_cast<std::size_t>(portion)];
  }

 private:
  std::array<Value, kPortionCount> values_{};
};

inline constexpr const char* name(Portion portion) {
  constexpr std::array<const char*, kPortionCount> kNames = {"total",  "delivery", "render",
                                                             "screen", "display",  "remainder"};
  return kNames[static_cast<std::size_t>(portion)];
}

/// Milliseconds; empty where the evidence does not carry a value.
using PortionValues = PerPortion<std::optional<double>>;

/// A portion's mean lies between these, in milliseconds.
struct Bounds {
  double low_ms = 0;
  double high_ms = 0;
};

}  // namespace thumblight::timing
