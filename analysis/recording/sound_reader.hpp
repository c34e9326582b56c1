#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <vector>

#include "analysis/recording/stream_opener.hpp"

namespace thumblight::recording {

/// Decodes a sound file, or a video's sound track, block after block.
class SoundReader {
 public:
  explicit SoundReader(const std::filesystem::path& file);

  int channels() const { return channels_; }
  double rate_hz() const { return rate_hz_; }
  /// Sample frames of the whole, as the file states it.
  std::optional<double> expected_samples() const { return expected_samples_; }

  struct Block {
    double start_s = 0;          ///< of its first sample, on the file's own time line
    std::int64_t first = 0;      ///< index of its first sample
    std::vector<float> samples;  ///< channels interleaved, full scale 1
  };
  /// False at the end.
  bool next(Block& block);

 private:
  bool decode();
  void convert(Block& block);

  OpenStream stream_;
  FrameHandle decoded_;
  PacketHandle packet_;
  ResamplerHandle converter_;
  int channels_ = 0;
  double rate_hz_ = 0;
  std::optional<double> expected_samples_;
  double next_start_s_ = 0;
  std::int64_t done_ = 0;
  bool flushed_ = false;
};

}  // namespace thumblight::recording
