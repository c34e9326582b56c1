#pragma once

#include <memory>
#include <vector>

#include "analysis/onset/film.hpp"
#include "analysis/onset/timings.hpp"

namespace thumblight::onset {

/// A part of the picture in finer cells than the whole: about 24 along its longer side, none
/// smaller than 4 pixels. Kept, as the film's cells are, in a temporary file.
struct RegionFilm {
  recording::GridLayout layout;  ///< of the part by itself
  int left_px = 0;               ///< of the part, in the stored picture
  int top_px = 0;
  std::unique_ptr<recording::CellStore> levels;
};

/// Measures that part of every picture while the film is read.
class RegionKeeper : public FrameWitness {
 public:
  /// Throws `Error` where the region, in pixels of the upright picture, lies outside it. `name` is
  /// its key in setup.json.
  RegionKeeper(const recording::VideoInfo& info, const Region& upright, const char* name);

  void see(std::int64_t frame, const recording::Frame& picture,
           const std::vector<float>& cells) override;

  RegionFilm take() { return std::move(region_); }

 private:
  RegionFilm region_;
  std::unique_ptr<recording::CellGrid> grid_;
};

/// Shows every picture to several witnesses.
class Witnesses : public FrameWitness {
 public:
  void add(FrameWitness* witness);
  void see(std::int64_t frame, const recording::Frame& picture,
           const std::vector<float>& cells) override;

 private:
  std::vector<FrameWitness*> all_;
};

}  // namespace thumblight::onset
