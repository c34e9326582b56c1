#pragma once

#include <atomic>
#include <condition_variable>
#include <deque>
#include <exception>
#include <memory>
#include <mutex>
#include <thread>

#include "analysis/recording/frame_source.hpp"

namespace thumblight::recording {

/// Reads another source in a thread of its own, a few frames ahead, so that the decoder does not
/// wait while a picture is looked at.
class ReadAhead : public FrameSource {
 public:
  explicit ReadAhead(std::unique_ptr<FrameSource> source);
  ~ReadAhead() override;
  ReadAhead(const ReadAhead&) = delete;
  ReadAhead& operator=(const ReadAhead&) = delete;

  const VideoInfo& info() const override { return source_->info(); }
  /// Throws what the source has thrown, once the frames before it are taken.
  bool next(Frame& frame) override;
  std::int64_t faults() const override { return faults_; }

 private:
  void read();
  bool read_one();

  std::unique_ptr<FrameSource> source_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<Frame> waiting_;
  std::exception_ptr fault_;
  bool ended_ = false;
  bool given_up_ = false;
  std::atomic<std::int64_t> faults_ = 0;
  std::thread thread_;
};

}  // namespace thumblight::recording
