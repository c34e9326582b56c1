#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <mutex>
#include <thread>
#include <vector>

#include "tests/bench/framebuffer.hpp"

namespace thumblight::bench {

/// A pixel's level crossed the half-way value somewhere between two samples; stamps of
/// CLOCK_MONOTONIC_RAW, the first taken before the earlier sample, the second after the later one.
struct LevelChange {
  std::size_t pixel = 0;  ///< index into the pixels watched
  bool rising = false;
  std::int64_t before_ns = 0;
  std::int64_t after_ns = 0;

  /// The middle of the interval: the best estimate.
  std::int64_t instant_ns() const { return before_ns + (after_ns - before_ns) / 2; }
  /// Standard uncertainty of `instant_ns()`, rectangular over the interval (JCGM 100:2008, 4.3.7).
  double u_ns() const;
};

/// Those of one pixel.
std::vector<LevelChange> changes_of(const std::vector<LevelChange>& changes, std::size_t pixel);

/// How closely the pixels were watched.
struct ObserverRate {
  std::int64_t samples = 0;
  double rate_hz = 0;
  std::int64_t largest_gap_ns = 0;
  bool realtime = false;  ///< the kernel granted real-time priority
};

/// Watches pixels from a thread of its own until it is stopped.
class PixelObserver {
 public:
  /// The least pause between samples; the kernel adds some 10-60 µs to it.
  static constexpr std::int64_t kPauseNs = 20'000;

  PixelObserver(std::vector<PixelAddress> pixels, int halfway_level);
  ~PixelObserver();
  PixelObserver(const PixelObserver&) = delete;
  PixelObserver& operator=(const PixelObserver&) = delete;

  void stop();

  /// The changes so far, in order of time.
  std::vector<LevelChange> changes() const;

  /// Of the whole watch; known once it has been stopped.
  ObserverRate rate() const { return rate_; }

 private:
  void watch();

  std::vector<PixelAddress> pixels_;
  int halfway_level_;
  mutable std::mutex mutex_;
  std::vector<LevelChange> changes_;
  ObserverRate rate_;
  std::atomic<bool> stopping_{false};
  std::atomic<bool> watching_{false};
  std::thread thread_;
};

}  // namespace thumblight::bench
