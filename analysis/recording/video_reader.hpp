#pragma once

#include <filesystem>

#include "analysis/recording/frame_source.hpp"
#include "analysis/recording/stream_decoder.hpp"

namespace thumblight::recording {

/// Decodes a video file, frame after frame, with FFmpeg's threads.
class VideoReader : public FrameSource {
 public:
  VideoReader(const std::filesystem::path& file, int threads);

  const VideoInfo& info() const override { return info_; }
  bool next(Frame& frame) override;
  std::int64_t faults() const override { return decoder_.faults(); }

 private:
  void fill_info(const std::filesystem::path& file);
  void take_stamp(Frame& frame);

  StreamDecoder decoder_;
  FrameHandle decoded_;
  LumaExtractor luma_;
  VideoInfo info_;
  std::int64_t last_stamp_ = 0;
  std::int64_t last_gap_ = 1;
  std::int64_t frames_ = 0;
  bool holds_first_ = false;
};

}  // namespace thumblight::recording
