#pragma once

#include <atomic>
#include <cstdint>
#include <thread>
#include <vector>

#include "tests/bench/camera/picture_queue.hpp"
#include "tests/bench/framebuffer.hpp"

namespace thumblight::bench {

/// What became of the pictures.
struct CameraCounts {
  std::int64_t filmed = 0;
  std::int64_t late = 0;    ///< due while the one before was still being made; never taken
  std::int64_t torn = 0;    ///< took too long to copy to have one instant; left out
  std::int64_t unheld = 0;  ///< the encoder had fallen too far behind; left out
  std::int64_t longest_gap_ns = 0;
  std::vector<std::int64_t> copy_ns;  ///< how long each picture took
  bool realtime = false;              ///< the kernel granted real-time priority
};

/// Copies a screen at a steady rate from a thread of its own: a shutter without exposure that
/// reads the rows from the first to the last within a fraction of a millisecond.
class ScreenCamera {
 public:
  /// A copy that took longer is left out: half of it may be from before a change.
  static constexpr std::int64_t kLongestCopyNs = 1'000'000;

  ScreenCamera(const Framebuffer& screen, double rate_hz, PictureQueue& queue);
  ~ScreenCamera();
  ScreenCamera(const ScreenCamera&) = delete;
  ScreenCamera& operator=(const ScreenCamera&) = delete;

  /// Ends the film and closes the queue, from any thread or a signal handler.
  void stop() { stopping_ = true; }

  /// Waits for the end.
  CameraCounts finish();

 private:
  void film();
  void take_picture();
  void copy_to(ScreenPicture& picture);

  const Framebuffer& screen_;
  std::int64_t interval_ns_;
  PictureQueue& queue_;
  CameraCounts counts_;
  std::int64_t last_ns_ = 0;
  std::atomic<bool> stopping_{false};
  std::thread thread_;
};

}  // namespace thumblight::bench
