#pragma once

#include <atomic>
#include <memory>

#include "analysis/recording/ahead_queue.hpp"
#include "analysis/recording/frame_source.hpp"

namespace thumblight::recording {

/// Reads another source a few frames ahead, in a thread of its own.
class ReadAhead : public FrameSource {
 public:
  explicit ReadAhead(std::unique_ptr<FrameSource> source);

  const VideoInfo& info() const override { return source_->info(); }
  bool next(Frame& frame) override { return frames_.next(frame); }
  std::int64_t faults() const override { return faults_; }

 private:
  std::unique_ptr<FrameSource> source_;
  std::atomic<std::int64_t> faults_ = 0;
  AheadQueue<Frame> frames_;
};

}  // namespace thumblight::recording
