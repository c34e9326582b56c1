#include "analysis/onset/change_region.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/onset/moving_cells.hpp"
#include "analysis/onset/regions.hpp"

namespace thumblight::onset {
namespace {

constexpr double kBefore_s = 0.35;

float middle_of(std::vector<float> values) {
  if (values.empty()) {
    return 0;
  }
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// How far each cell goes from where it was at the first of some frames.
std::vector<float> ways(Film& film, std::int64_t first, std::int64_t last) {
  const auto cells = static_cast<std::size_t>(film.levels->cells());
  std::vector<float> most(cells, 0);
  if (last <= first) {
    return most;
  }
  const std::vector<float> levels = film.levels->read(first, last - first);
  for (std::size_t i = 1; i < static_cast<std::size_t>(last - first); ++i) {
    for (std::size_t cell = 0; cell < cells; ++cell) {
      most[cell] = std::max(most[cell], std::abs(levels[i * cells + cell] - levels[cell]));
    }
  }
  return most;
}

/// How much more each cell changes after presses than before them.
std::vector<double> scores_of(Film& film, const std::vector<double>& press_s) {
  constexpr std::size_t kEnough = 40;
  constexpr float kStandsOut = 2.5F;
  constexpr float kLeast = 0.002F;
  const auto cells = static_cast<std::size_t>(film.levels->cells());
  std::vector<std::vector<float>> before(cells);
  std::vector<std::vector<float>> after(cells);
  const std::size_t stride = press_s.size() / kEnough + 1;
  for (std::size_t k = 0; k < press_s.size(); k += stride) {
    const std::int64_t pressed = film.first_from(press_s[k]);
    const std::vector<float> calm = ways(film, film.first_from(press_s[k] - kBefore_s), pressed);
    const std::vector<float> moved = ways(film, pressed, film.first_from(press_s[k] + kBefore_s));
    for (std::size_t cell = 0; cell < cells; ++cell) {
      before[cell].push_back(calm[cell]);
      after[cell].push_back(moved[cell]);
    }
  }
  std::vector<double> scores(cells, 0);
  for (std::size_t cell = 0; cell < cells; ++cell) {
    const float more = middle_of(after[cell]) - kStandsOut * middle_of(before[cell]);
    scores[cell] = more > kLeast ? more : 0;
  }
  return scores;
}

/// Columns and rows of cells, from the first to before the last.
struct Block {
  int left = 0;
  int top = 0;
  int right = 0;
  int bottom = 0;
};

Block block_around(const std::vector<int>& cells, const recording::GridLayout& layout) {
  Block block{layout.columns, layout.rows, 0, 0};
  for (const int cell : cells) {
    const int column = cell % layout.columns;
    const int row = cell / layout.columns;
    block.left = std::max(0, std::min(block.left, column - 1));
    block.top = std::max(0, std::min(block.top, row - 1));
    block.right = std::min(layout.columns, std::max(block.right, column + 2));
    block.bottom = std::min(layout.rows, std::max(block.bottom, row + 2));
  }
  return block;
}

ChangeRegion region_of(Film& film, const Block& block) {
  const recording::GridLayout& whole = film.layout;
  ChangeRegion region;
  region.layout.columns = block.right - block.left;
  region.layout.rows = block.bottom - block.top;
  region.layout.cell_px = whole.cell_px;
  region.layout.width =
      std::min(whole.width, block.right * whole.cell_px) - block.left * whole.cell_px;
  region.layout.height =
      std::min(whole.height, block.bottom * whole.cell_px) - block.top * whole.cell_px;
  region.top_px = block.top * whole.cell_px;
  std::vector<int> cells;
  for (int row = block.top; row < block.bottom; ++row) {
    for (int column = block.left; column < block.right; ++column) {
      cells.push_back(row * whole.columns + column);
    }
  }
  region.upright = upright_bounds(cells, film);
  region.levels = [&film, cells](std::int64_t first, std::int64_t count) {
    const std::vector<float> all = film.levels->read(first, count);
    Eigen::MatrixXf part(static_cast<Eigen::Index>(cells.size()), count);
    for (Eigen::Index frame = 0; frame < count; ++frame) {
      const auto at =
          static_cast<std::size_t>(frame) * static_cast<std::size_t>(film.levels->cells());
      for (Eigen::Index k = 0; k < part.rows(); ++k) {
        part(k, frame) = all[at + static_cast<std::size_t>(cells[static_cast<std::size_t>(k)])];
      }
    }
    return part;
  };
  return region;
}

}  // namespace

ChangeRegion named_region(const Film& film, RegionFilm& kept) {
  ChangeRegion region;
  region.layout = kept.layout;
  region.top_px = kept.top_px;
  region.upright = upright_region(
      {static_cast<double>(kept.left_px), static_cast<double>(kept.top_px),
       static_cast<double>(kept.layout.width), static_cast<double>(kept.layout.height)},
      film.info);
  region.levels = [&kept](std::int64_t first, std::int64_t count) {
    const std::vector<float> levels = kept.levels->read(first, count);
    return Eigen::MatrixXf(
        Eigen::Map<const Eigen::MatrixXf>(levels.data(), kept.layout.cells(), count));
  };
  return region;
}

std::optional<ChangeRegion> region_after_presses(Film& film, const std::vector<double>& press_s,
                                                 const std::vector<int>& not_here) {
  std::vector<double> scores = scores_of(film, press_s);
  leave_out_around(not_here, film.layout, scores);
  const double most = scores.empty() ? 0 : *std::max_element(scores.begin(), scores.end());
  if (most <= 0) {
    return std::nullopt;
  }
  const std::vector<int> cells = strongest_component(scores, 0.15 * most, film.layout);
  return region_of(film, block_around(cells, film.layout));
}

}  // namespace thumblight::onset
