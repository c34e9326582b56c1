#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

#include "tests/bench/framebuffer.hpp"

namespace thumblight::bench {

/// The screen at one instant of CLOCK_MONOTONIC_RAW.
struct ScreenPicture {
  std::int64_t instant_ns = 0;
  std::size_t image = 0;  ///< index into the film's images
};

/// A film, not yet encoded.
struct ScreenFilm {
  std::vector<std::vector<std::uint32_t>> images;  ///< 0x00RRGGBB, row by row; each differs
                                                   ///< from the one before
  std::vector<ScreenPicture> pictures;
  std::vector<std::int64_t> copy_ns;  ///< how long each picture took
  std::int64_t late = 0;              ///< due while the one before was being made; never taken
  std::int64_t torn = 0;              ///< took too long to copy to have one instant; left out
  bool realtime = false;              ///< the kernel granted real-time priority
};

/// Copies a screen at a steady rate: a shutter without exposure that reads the rows from the first
/// to the last within a fraction of a millisecond. Everything stays in memory, where a screen that
/// stands still takes no room, so that no encoder competes with what is filmed.
class ScreenCamera {
 public:
  /// A copy that took longer is left out: half of it may be from before a change.
  static constexpr std::int64_t kLongestCopyNs = 1'000'000;
  /// Some gigabyte of a small screen.
  static constexpr std::size_t kMostImages = 1000;

  ScreenCamera(const Framebuffer& screen, double rate_hz);

  /// Films until `stopping`; `begun` hears the instant of the first picture. Throws `Error` for a
  /// screen that changes more often than can be kept.
  ScreenFilm film(const std::atomic<bool>& stopping,
                  const std::function<void(std::int64_t)>& begun);

 private:
  void take_picture(ScreenFilm& film);

  const Framebuffer& screen_;
  std::int64_t interval_ns_;
  std::vector<std::uint32_t> copy_;
};

}  // namespace thumblight::bench
