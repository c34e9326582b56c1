#include "analysis/onset/grey_copy.hpp"

#include <algorithm>
#include <cstddef>

namespace thumblight::onset {
namespace {

template <class Code>
std::uint8_t* reduce_row(const Code* row, int width, int step, int shift, std::uint8_t* out) {
  for (int x = 0; x < width; x += step) {
    *out++ = static_cast<std::uint8_t>(row[x] >> shift);
  }
  return out;
}

}  // namespace

std::uint8_t GreyCopy::at(int x, int y) const {
  int column = x;
  int row = y;
  switch (form_.rotation_deg) {
    case 90:
      column = y;
      row = form_.height - 1 - x;
      break;
    case 180:
      column = form_.width - 1 - x;
      row = form_.height - 1 - y;
      break;
    case 270:
      column = form_.width - 1 - y;
      row = x;
      break;
    default:
      break;
  }
  return pixels_[static_cast<std::size_t>(row) * static_cast<std::size_t>(form_.width) +
                 static_cast<std::size_t>(column)];
}

std::vector<std::uint8_t> reduced(const recording::LumaPlane& luma, const CopyForm& form) {
  std::vector<std::uint8_t> pixels(static_cast<std::size_t>(form.width) *
                                   static_cast<std::size_t>(form.height));
  const int shift = std::max(0, luma.bit_depth - 8);
  std::uint8_t* out = pixels.data();
  for (int y = 0; y < luma.height; y += form.step) {
    const std::uint8_t* row = luma.data + y * luma.stride;
    out = luma.bit_depth > 8 ? reduce_row(reinterpret_cast<const std::uint16_t*>(row), luma.width,
                                          form.step, shift, out)
                             : reduce_row(row, luma.width, form.step, shift, out);
  }
  return pixels;
}

}  // namespace thumblight::onset
