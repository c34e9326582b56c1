#include "analysis/recording/cell_grid.hpp"

#include <algorithm>
#include <array>
#include <cstddef>

#include "analysis/recording/transfer.hpp"

namespace thumblight::recording {
namespace {

double centre(int index, int cell_px, int size) {
  const int begin = index * cell_px;
  return (begin + std::min(begin + cell_px, size)) / 2.0;
}

/// Every so many pixels a sample is taken: about ten along a cell.
int sampling_step(int cell_px) {
  constexpr int kSamplesAlong = 10;
  constexpr int kSmall_px = 16;  // of smaller cells all pixels are read
  return cell_px < kSmall_px ? 1 : std::max(2, cell_px / kSamplesAlong);
}

int samples_along(int begin, int end, int step) {
  return (end - begin + step - 1) / step;
}

}  // namespace

double GridLayout::centre_x(int cell) const {
  return centre(cell % columns, cell_px, width);
}
double GridLayout::centre_y(int cell) const {
  return centre(cell / columns, cell_px, height);
}

GridLayout grid_for(int width, int height) {
  constexpr int kCellsAlong = 64;
  GridLayout layout;
  layout.width = width;
  layout.height = height;
  layout.cell_px = std::max(4, (std::max(width, height) + kCellsAlong - 1) / kCellsAlong);
  layout.cell_px += layout.cell_px % 2;
  layout.columns = (width + layout.cell_px - 1) / layout.cell_px;
  layout.rows = (height + layout.cell_px - 1) / layout.cell_px;
  return layout;
}

CellGrid::CellGrid(const GridLayout& layout, const Coding& coding)
    : layout_(layout),
      linear_(linear_light_table(coding)),
      step_(sampling_step(layout.cell_px)),
      means_(static_cast<std::size_t>(layout.cells())) {}

/// Mean over the samples of one cell, whose rows are `stride` codes apart.
template <class Code>
float CellGrid::cell_mean(const Code* row, std::ptrdiff_t stride, int rows, int columns) const {
  const float* table = linear_.data();
  const int width = columns * step_;
  // Three rows side by side, since each addition waits for the one before.
  std::array<float, 3> sums{};
  int y = 0;
  for (; y + 2 < rows; y += 3, row += 3 * stride) {
    const Code* second = row + stride;
    const Code* third = second + stride;
    for (int x = 0; x < width; x += step_) {
      sums[0] += table[row[x]];
      sums[1] += table[second[x]];
      sums[2] += table[third[x]];
    }
  }
  for (; y < rows; ++y, row += stride) {
    for (int x = 0; x < width; x += step_) {
      sums[0] += table[row[x]];
    }
  }
  return (sums[0] + sums[1] + sums[2]) / static_cast<float>(rows * columns);
}

template <class Code>
void CellGrid::measure_codes(const LumaPlane& luma) {
  const auto stride = luma.stride / static_cast<std::ptrdiff_t>(sizeof(Code));
  const auto* codes = reinterpret_cast<const Code*>(luma.data);
  float* mean = means_.data();
  for (int top = 0; top < layout_.height; top += layout_.cell_px) {
    const int bottom = std::min(top + layout_.cell_px, layout_.height);
    const int rows = samples_along(top, bottom, step_);
    for (int left = 0; left < layout_.width; left += layout_.cell_px) {
      const int right = std::min(left + layout_.cell_px, layout_.width);
      *mean++ = cell_mean(codes + top * stride + left, step_ * stride, rows,
                          samples_along(left, right, step_));
    }
  }
}

const std::vector<float>& CellGrid::measure(const LumaPlane& luma) {
  if (luma.bit_depth > 8) {
    measure_codes<std::uint16_t>(luma);
  } else {
    measure_codes<std::uint8_t>(luma);
  }
  return means_;
}

}  // namespace thumblight::recording
