#pragma once

#include <cstdint>
#include <vector>

#include "analysis/recording/luma_plane.hpp"

namespace thumblight::onset {

/// How small copies of a film's pictures are made: every `step`th pixel, eight bits deep.
struct CopyForm {
  int step = 1;
  int width = 0;  ///< of the copy as the film is stored
  int height = 0;
  int rotation_deg = 0;  ///< clockwise turn that sets it upright
};

/// A small copy of one picture, read in its upright orientation.
class GreyCopy {
 public:
  GreyCopy() = default;
  GreyCopy(const CopyForm& form, std::vector<std::uint8_t> pixels)
      : form_(form), pixels_(std::move(pixels)) {}

  bool empty() const { return pixels_.empty(); }
  int width() const { return is_sideways() ? form_.height : form_.width; }
  int height() const { return is_sideways() ? form_.width : form_.height; }
  std::uint8_t at(int x, int y) const;

 private:
  bool is_sideways() const { return form_.rotation_deg == 90 || form_.rotation_deg == 270; }

  CopyForm form_;
  std::vector<std::uint8_t> pixels_;
};

/// The pixels of a copy of `luma`, row by row as stored.
std::vector<std::uint8_t> reduced(const recording::LumaPlane& luma, const CopyForm& form);

}  // namespace thumblight::onset
