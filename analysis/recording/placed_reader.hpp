#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>

#include "analysis/recording/ffmpeg_handles.hpp"
#include "analysis/recording/frame_index.hpp"

namespace thumblight::recording {

/// Reads frames by their numbers, each exactly the picture that reading from the beginning gives
/// under this number.
class PlacedReader {
 public:
  virtual ~PlacedReader() = default;
  /// Number of the frame that `next` gives.
  virtual std::int64_t at() const = 0;
  /// How many frames must be decoded before `frame` comes.
  virtual std::int64_t cost_of(std::int64_t frame) const = 0;
  /// Makes `at` no more than `frame`, at the least cost.
  virtual void go_to(std::int64_t frame) = 0;
  /// Frame `at`, with which `at` moves on. Throws `Error` where it cannot be had.
  virtual FrameHandle next() = 0;
};

/// Opens what `index` was made from, which must outlive the reader. `threads` of the decoder; 0 is
/// one a core.
std::unique_ptr<PlacedReader> open_placed(const std::filesystem::path& path,
                                          const FrameIndex& index, int threads);

}  // namespace thumblight::recording
