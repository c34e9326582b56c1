#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "analysis/recording/cell_grid.hpp"
#include "analysis/recording/cell_store.hpp"
#include "analysis/recording/frame_clock.hpp"
#include "analysis/recording/frame_source.hpp"

namespace thumblight::onset {

/// How far the work has come: done and, where known, in all.
using Progress = std::function<void(double done, std::optional<double> all)>;

/// A video after its one pass: times and cell levels of every frame.
struct Film {
  recording::VideoInfo info;
  recording::FrameClock clock;
  recording::GridLayout layout;
  std::unique_ptr<recording::CellStore> levels;
  std::vector<char> doubled;  ///< frame shows the one before it again
  std::int64_t faults = 0;

  std::int64_t frames() const { return static_cast<std::int64_t>(clock.time_s.size()); }
  /// Whether the coder gave back every code as it was.
  bool lossless() const;
  /// Index of the first frame that starts at `time_s` or later.
  std::int64_t first_from(double time_s) const;
};

/// Sees every picture of the pass, besides the cells: what the evidence is made from.
class FrameWitness {
 public:
  virtual ~FrameWitness() = default;
  virtual void see(std::int64_t frame, const recording::Frame& picture,
                   const std::vector<float>& cells) = 0;
};

/// Decodes the whole of `source`, once.
Film read_film(recording::FrameSource& source, std::optional<double> capture_rate_hz,
               FrameWitness* witness, const Progress& progress);

}  // namespace thumblight::onset
