#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "analysis/recording/luma_plane.hpp"

namespace thumblight::recording {

/// A coarse grid of square cells laid over the stored picture, the last of a row or column being
/// narrower where the size does not divide.
struct GridLayout {
  int columns = 0;
  int rows = 0;
  int cell_px = 0;  ///< side of a cell
  int width = 0;    ///< of the picture
  int height = 0;

  int cells() const { return columns * rows; }
  /// Centre of a cell, in pixels of the stored picture.
  double centre_x(int cell) const;
  double centre_y(int cell) const;
};

/// About 64 cells along the longer side, none smaller than 4 pixels.
GridLayout grid_for(int width, int height);

/// Means of linear light over the cells. Of a large picture it reads some rows and pixels: the mean
/// of a cell loses nothing that counts, and the cost stays small beside decoding.
class CellGrid {
 public:
  CellGrid(const GridLayout& layout, const Coding& coding);

  const GridLayout& layout() const { return layout_; }
  /// One mean a cell, row by row; valid until the next call.
  const std::vector<float>& measure(const LumaPlane& luma);

 private:
  template <class Code>
  float cell_mean(const Code* row, std::ptrdiff_t stride, int rows, int columns) const;
  template <class Code>
  void measure_codes(const LumaPlane& luma);

  GridLayout layout_;
  std::vector<float> linear_;
  int step_ = 1;
  std::vector<float> means_;
};

}  // namespace thumblight::recording
