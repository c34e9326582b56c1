#include "analysis/recording/cell_grid.hpp"

#include <algorithm>
#include <cstddef>

#include "analysis/recording/transfer.hpp"

namespace thumblight::recording {
namespace {

double centre(int index, int cell_px, int size) {
  const int begin = index * cell_px;
  return (begin + std::min(begin + cell_px, size)) / 2.0;
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
      step_(layout.cell_px >= 16 ? 2 : 1),
      sums_(static_cast<std::size_t>(layout.columns)),
      means_(static_cast<std::size_t>(layout.cells())) {}

template <class Code>
void CellGrid::add_row(const Code* row) {
  const float* table = linear_.data();
  for (int column = 0; column < layout_.columns; ++column) {
    const int begin = column * layout_.cell_px;
    const int end = std::min(begin + layout_.cell_px, layout_.width);
    // Two sums side by side, since each addition waits for the one before.
    float even = 0;
    float odd = 0;
    int x = begin;
    for (; x + step_ < end; x += 2 * step_) {
      even += table[row[x]];
      odd += table[row[x + step_]];
    }
    if (x < end) {
      even += table[row[x]];
    }
    sums_[column] += even + odd;
  }
}

const std::vector<float>& CellGrid::measure(const LumaPlane& luma) {
  for (int row = 0; row < layout_.rows; ++row) {
    const int begin = row * layout_.cell_px;
    const int end = std::min(begin + layout_.cell_px, layout_.height);
    std::fill(sums_.begin(), sums_.end(), 0.0F);
    for (int y = begin; y < end; y += step_) {
      const std::uint8_t* bytes = luma.data + y * luma.stride;
      if (luma.bit_depth > 8) {
        add_row(reinterpret_cast<const std::uint16_t*>(bytes));
      } else {
        add_row(bytes);
      }
    }
    const int rows = samples_along(begin, end, step_);
    for (int column = 0; column < layout_.columns; ++column) {
      const int left = column * layout_.cell_px;
      const int right = std::min(left + layout_.cell_px, layout_.width);
      means_[row * layout_.columns + column] =
          sums_[column] / static_cast<float>(rows * samples_along(left, right, step_));
    }
  }
  return means_;
}

}  // namespace thumblight::recording
