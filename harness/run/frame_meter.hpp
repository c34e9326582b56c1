#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "harness/session/records.hpp"

namespace thumblight::harness {

/// The median of the values; the lower of the middle two where their number is even. Empty for
/// none.
std::optional<std::int64_t> median_of(std::vector<std::int64_t> values);

/// Median and extremes; empty for no values.
std::optional<session::Intervals> intervals_of(const std::vector<std::int64_t>& values);

/// Watches the returns of the present call of frames that are drawn one after another. Bounded in
/// memory: intervals are counted by the ten microseconds.
class FrameMeter {
 public:
  /// `interval_ns` is what one frame should take; longer than one and a half counts as missed.
  explicit FrameMeter(std::int64_t interval_ns) : expected_ns_(interval_ns) {}

  void presented(std::int64_t present_ns);
  /// What follows is not the successor of what was: a pause, say.
  void interrupt() { previous_ns_.reset(); }

  std::int64_t missed() const { return missed_; }
  std::optional<session::Intervals> intervals() const;

 private:
  static constexpr std::int64_t kBin_ns = 10'000;
  static constexpr std::size_t kBins = 10'000;  ///< up to 100 ms; the last holds all beyond

  std::int64_t expected_ns_;
  std::optional<std::int64_t> previous_ns_;
  std::int64_t missed_ = 0;
  std::int64_t count_ = 0;
  std::int64_t min_ns_ = INT64_MAX;
  std::int64_t max_ns_ = 0;
  std::vector<std::int64_t> bins_ = std::vector<std::int64_t>(kBins);
};

}  // namespace thumblight::harness
