#include "analysis/onset/region_film.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/onset/regions.hpp"
#include "analysis/recording/transfer.hpp"

namespace thumblight::onset {
namespace {

recording::GridLayout fine_grid(int width, int height) {
  constexpr int kCellsAlong = 24;
  recording::GridLayout layout;
  layout.width = width;
  layout.height = height;
  layout.cell_px = std::max(4, (std::max(width, height) + kCellsAlong - 1) / kCellsAlong);
  layout.columns = (width + layout.cell_px - 1) / layout.cell_px;
  layout.rows = (height + layout.cell_px - 1) / layout.cell_px;
  return layout;
}

double full_scale(const recording::Coding& coding) {
  const std::vector<float> table = recording::linear_light_table(coding);
  return std::max(1.0F, *std::max_element(table.begin(), table.end()));
}

}  // namespace

RegionKeeper::RegionKeeper(const recording::VideoInfo& info, const Region& upright,
                           const char* name) {
  const Region stored = stored_region(upright, info);
  const int left = std::max(0, static_cast<int>(std::floor(stored.x)));
  const int top = std::max(0, static_cast<int>(std::floor(stored.y)));
  const int right = std::min(info.width, static_cast<int>(std::ceil(stored.x + stored.w)));
  const int bottom = std::min(info.height, static_cast<int>(std::ceil(stored.y + stored.h)));
  if (left >= right || top >= bottom) {
    refuse_outside(info.file, name);
  }
  region_.left_px = left;
  region_.top_px = top;
  region_.layout = fine_grid(right - left, bottom - top);
  region_.levels =
      std::make_unique<recording::CellStore>(region_.layout.cells(), full_scale(info.coding));
  grid_ = std::make_unique<recording::CellGrid>(region_.layout, info.coding);
}

void RegionKeeper::see(std::int64_t /*frame*/, const recording::Frame& picture,
                       const std::vector<float>& /*cells*/) {
  recording::LumaPlane part = picture.luma;
  const std::ptrdiff_t code_bytes = part.bit_depth > 8 ? 2 : 1;
  part.data += region_.top_px * part.stride + region_.left_px * code_bytes;
  part.width = region_.layout.width;
  part.height = region_.layout.height;
  region_.levels->append(grid_->measure(part));
}

void Witnesses::add(FrameWitness* witness) {
  if (witness != nullptr) {
    all_.push_back(witness);
  }
}

void Witnesses::see(std::int64_t frame, const recording::Frame& picture,
                    const std::vector<float>& cells) {
  for (FrameWitness* witness : all_) {
    witness->see(frame, picture, cells);
  }
}

}  // namespace thumblight::onset
