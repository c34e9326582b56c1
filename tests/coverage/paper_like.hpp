#pragma once

#include <cstdint>
#include <optional>

#include "analysis/timing/portions.hpp"

/// Sessions like those that a problem on paper states: 40 presses, a refresh of 60 Hz, instants to
/// 0.1 ms, the scan-out known, and nothing but causality between the clocks.
namespace thumblight::test {

/// What is known of one session's mean delivery, and the truth.
struct DeliveryBounds {
  double truth_ms = 0;
  timing::Bounds alone_ms;
  timing::Bounds carried_ms;  ///< with what the other sessions know of the screen

  static double width_ms(const timing::Bounds& bounds) { return bounds.high_ms - bounds.low_ms; }
  static bool holds(const timing::Bounds& bounds, double truth_ms) {
    return bounds.low_ms <= truth_ms && truth_ms <= bounds.high_ms;
  }
};

struct PaperLike {
  DeliveryBounds polled_at_1_khz;
  DeliveryBounds polled_at_125_hz;
  DeliveryBounds wireless;
};

/// Three sessions on the same screen.
PaperLike paper_like(std::uint64_t seed);

}  // namespace thumblight::test
