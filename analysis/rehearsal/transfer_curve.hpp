#pragma once

#include <cstdint>
#include <vector>

#include "analysis/rehearsal/settings.hpp"

namespace thumblight::rehearsal {

/// Signal (0 to 1) of linear scene light (0 to 1; PQ: 1 is 10 000 cd/m2), by the standard's own
/// equations: Rec. ITU-R BT.709-6 item 1.2, IEC 61966-2-1, Rec. ITU-R BT.2100-2 tables 4 and 5.
double bt709_signal(double light);
double srgb_signal(double light);
double hlg_signal(double light);
double pq_signal(double light);

/// Code of a luma signal: 8 bits limited 16 + 219 E', full 255 E'; 10 bits limited 64 + 876 E',
/// full 1023 E', rounded, kept within the range.
int luma_code(double signal, int bits, Range range);

/// From linear light in a camera (1 is the level at which SDR clips) to code values.
class LightCoder {
 public:
  explicit LightCoder(const CameraSettings& settings);

  /// The signal (0 to 1) without rounding to a code.
  double signal(double light) const;
  /// Codes of a run of light values. Within a fifth of a code of the exact value, then rounded.
  void encode(const float* light, int count, std::uint16_t* codes) const;
  int neutral_chroma() const;
  /// Code units for a chroma signal of 1.
  double chroma_scale() const;

 private:
  CameraSettings settings_;
  std::vector<std::uint16_t> table_;
};

}  // namespace thumblight::rehearsal
