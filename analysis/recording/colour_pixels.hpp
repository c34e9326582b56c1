#pragma once

#include <cstdint>
#include <vector>

#include "analysis/recording/ffmpeg_handles.hpp"

namespace thumblight::recording {

/// A picture for the eye: red, green, blue and 255, a byte each, row after row, as it is stored
/// (not turned upright).
struct ColourPixels {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> bytes;
};

/// Makes such pictures of decoded frames, pixel by pixel.
class ColourConverter {
 public:
  /// Throws `Error` for a pixel format that cannot be shown.
  void convert(const AVFrame& frame, ColourPixels& pixels);

 private:
  ScalerHandle scaler_;
};

}  // namespace thumblight::recording
