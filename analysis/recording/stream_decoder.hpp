#pragma once

#include <cstdint>
#include <filesystem>

#include "analysis/recording/stream_opener.hpp"

namespace thumblight::recording {

/// The pictures of a file's best video stream, decoded one after another in the order of
/// presentation; from the beginning, or from a place in the file.
class StreamDecoder {
 public:
  StreamDecoder(const std::filesystem::path& file, int threads);

  const OpenStream& stream() const { return stream_; }
  /// The next picture, or false at the end.
  bool next(AVFrame& picture);
  /// Goes on from the place at or before `ticks` at which the container lets one begin; false where
  /// it does not.
  bool seek(std::int64_t ticks);
  /// Faults met so far.
  std::int64_t faults() const { return faults_; }

 private:
  bool feed();

  OpenStream stream_;
  PacketHandle packet_;
  std::int64_t faults_ = 0;
  bool flushed_ = false;
};

}  // namespace thumblight::recording
