#pragma once

#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <filesystem>
#include <memory>
#include <mutex>
#include <thread>
#include <vector>

#include "analysis/recording/fetch_plan.hpp"
#include "analysis/recording/frame_cache.hpp"
#include "analysis/recording/frame_index.hpp"
#include "analysis/recording/placed_reader.hpp"

namespace thumblight::recording {

/// Memory for decoded frames, and threads of the decoder (0: one a core).
struct BrowserLimits {
  std::size_t bytes = std::size_t{512} << 20;  ///< never fewer than 24 frames, whatever they take
  int threads = 0;
};

/// Any frame of a recording, in any order. A thread of its own decodes around the frame that is
/// looked at: some before it together with it, then more behind and ahead, so that a step either
/// way finds its frame decoded.
class FrameBrowser {
 public:
  FrameBrowser(std::filesystem::path path, FrameIndex index, const BrowserLimits& limits = {});
  ~FrameBrowser();
  FrameBrowser(const FrameBrowser&) = delete;
  FrameBrowser& operator=(const FrameBrowser&) = delete;

  const FrameIndex& index() const { return index_; }
  std::int64_t frames() const { return index_.frames(); }

  /// The frame that is looked at from now on.
  void look_at(std::int64_t frame);
  /// Frames that may be looked at next: some are fetched around each, when nothing else is to do.
  void expect(std::vector<std::int64_t> next);
  /// The frame, or empty while it is not decoded. Throws what decoding threw.
  DecodedFrame find(std::int64_t frame);
  /// Looks at the frame and waits for it.
  DecodedFrame get(std::int64_t frame);
  /// Whether something is being decoded that is, or soon may be, looked at.
  bool is_busy() const;
  /// Waits until everything around the frame that is looked at is decoded.
  void settle();
  std::size_t held() const;

 private:
  void work();
  void rethrow() const;
  void decode(std::int64_t frame, std::unique_lock<std::mutex>& lock);
  void update();

  std::filesystem::path path_;
  FrameIndex index_;
  std::unique_ptr<PlacedReader> reader_;  ///< of the thread alone
  FrameCache cache_;
  Reach reach_;
  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::int64_t place_ = 0;
  std::vector<std::int64_t> next_;
  Neighbourhood near_;
  std::exception_ptr fault_;
  bool idle_ = false;
  bool ended_ = false;
  std::thread thread_;
};

}  // namespace thumblight::recording
