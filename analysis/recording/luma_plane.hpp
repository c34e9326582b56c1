#pragma once

#include <cstddef>
#include <cstdint>

#include "analysis/recording/ffmpeg_handles.hpp"

namespace thumblight::recording {

/// The brightness codes of one picture as they lie in memory; they belong to somebody else.
struct LumaPlane {
  const std::uint8_t* data = nullptr;
  std::ptrdiff_t stride = 0;  ///< bytes from one row to the next
  int width = 0;
  int height = 0;
  int bit_depth = 8;  ///< above 8 each code takes two bytes, low bits used
};

/// How codes of a stream are to be read.
struct Coding {
  bool full_range = false;
  int bit_depth = 8;
  int transfer = 2;  ///< ITU-T H.273 TransferCharacteristics; 2 = not stated
  int matrix = 2;    ///< ITU-T H.273 MatrixCoefficients; 2 = not stated
  bool range_stated = false;
};

/// Sees to it that decoded frames have a luma plane: they stay as they are where the format has
/// one, otherwise (RGB, big-endian, high-packed formats) grey is made from them.
class LumaExtractor {
 public:
  /// The picture that holds the plane of `frame`: itself, or one in grey.
  FrameHandle with_luma(FrameHandle frame);

 private:
  FrameHandle converted(const AVFrame& frame);

  ScalerHandle scaler_;
};

/// The plane of a picture that `LumaExtractor` gave.
LumaPlane luma_of(const AVFrame& frame);

/// A number that differs wherever a code of the plane does, but for a chance of 2^-64.
std::uint64_t print_of(const LumaPlane& luma);

Coding coding_of(const AVFrame& frame);

}  // namespace thumblight::recording
