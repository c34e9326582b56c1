#pragma once

#include <cmath>
#include <optional>

#include "analysis/statistics/interval.hpp"
#include "analysis/timing/portions.hpp"
#include "harness/session/or_null.hpp"

/// Values as the JSON documents state them: unknown is null.
namespace thumblight::report {

using Json = OrderedJson;

/// Milliseconds to the nanosecond: digits beyond it are those of binary arithmetic.
inline Json milliseconds(double value_ms) {
  return std::round(value_ms * 1e6) / 1e6;
}

inline Json milliseconds(const std::optional<double>& value_ms) {
  return value_ms ? milliseconds(*value_ms) : Json(nullptr);
}

inline Json range(double low_ms, double high_ms) {
  return {milliseconds(low_ms), milliseconds(high_ms)};
}

inline Json range(const std::optional<statistics::Interval>& interval) {
  return interval ? range(interval->low, interval->high) : Json(nullptr);
}

inline Json range(const timing::Bounds& bounds_ms) {
  return range(bounds_ms.low_ms, bounds_ms.high_ms);
}

}  // namespace thumblight::report
