#pragma once

#include <cstdint>
#include <vector>

#include "analysis/rehearsal/av_handles.hpp"

namespace thumblight::rehearsal {

struct SoundFormat {
  AVCodecID codec = AV_CODEC_ID_PCM_S16LE;
  int rate_hz = 48'000;
  int channels = 1;  ///< 1 or 2
  int bits = 16;     ///< of the samples that the encoder takes, where it takes whole numbers
};

/// One stream of sound in an output file.
class SoundWriter {
 public:
  /// Adds the stream; the file's header must not have been written yet.
  SoundWriter(AVFormatContext& output, const SoundFormat& format, std::string file);

  /// Interleaved samples from -1 to 1; what is beyond is clipped.
  void write(const std::vector<double>& samples);
  void finish();

 private:
  void flush(std::size_t frames);
  void store(std::size_t frame, int channel, double value);

  AVFormatContext& output_;
  std::string file_;
  int channels_;
  CodecHandle codec_;
  AVStream* stream_;
  FrameHandle frame_;
  std::vector<double> pending_;
  std::int64_t written_ = 0;
};

}  // namespace thumblight::rehearsal
