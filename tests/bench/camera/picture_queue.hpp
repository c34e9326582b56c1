#pragma once

#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <mutex>
#include <vector>

namespace thumblight::bench {

/// The screen as it was copied between two stamps of CLOCK_MONOTONIC_RAW.
struct ScreenPicture {
  std::int64_t before_ns = 0;
  std::int64_t after_ns = 0;
  std::vector<std::uint32_t> pixels;  ///< 0x00RRGGBB, row by row

  std::int64_t instant_ns() const { return before_ns + (after_ns - before_ns) / 2; }
};

/// Pictures on their way from the thread that copies them to the one that encodes them. The room
/// is made once, so that copying never waits for memory or for the encoder.
class PictureQueue {
 public:
  PictureQueue(std::size_t capacity, std::size_t pixels);

  /// Where the next picture may be copied to; null while the queue is full.
  ScreenPicture* free_place();
  /// The picture in the free place is complete.
  void push();
  /// Nothing more will come.
  void close();

  /// Waits for the oldest picture; null once the queue is closed and empty.
  const ScreenPicture* oldest();
  /// The oldest picture's place is free again.
  void pop();

 private:
  std::vector<ScreenPicture> places_;
  std::size_t pushed_ = 0;
  std::size_t popped_ = 0;
  bool closed_ = false;
  std::mutex mutex_;
  std::condition_variable changed_;
};

}  // namespace thumblight::bench
