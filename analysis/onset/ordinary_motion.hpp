#pragma once

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <vector>

#include "analysis/recording/cell_grid.hpp"

/// How a part of a screen moves of its own accord, learned from times at which nobody pressed.
namespace thumblight::onset {

/// The levels of a part of the picture over consecutive frames.
struct LevelWindow {
  std::int64_t first = 0;  ///< frame of the film
  Eigen::MatrixXf levels;  ///< a column a frame, a row a cell
  std::int64_t frames() const { return levels.cols(); }
};

/// How far apart in time the frames lie that foretell another.
struct Foresight {
  std::int64_t horizon = 12;  ///< frames from the last one looked at to the one foretold
  std::int64_t lag = 4;       ///< frames between those looked at
  std::int64_t memory() const { return horizon + 2 * lag; }
};

/// Foretells each cell's level from its own and its neighbours' some frames before, by least
/// squares: a still picture, a drifting ground and a steady swing are foretold, a jump is not. What
/// such foretelling usually misses (noise, a blinking title, a change of pose) is known too, as
/// directions in which all cells err together and an error of each cell's own. A rare error counts
/// as if it were three standard deviations, so that what happens now and then is no surprise.
class OrdinaryMotion {
 public:
  /// Learns from the frames from `memory()` on of each window; there must be some.
  OrdinaryMotion(const std::vector<LevelWindow>& quiet, const recording::GridLayout& layout,
                 const Foresight& foresight);

  /// What each cell shows beyond what was foretold, for each frame of the window; the first
  /// `memory()` columns are 0. `fold` 0 or 1 leaves that half of the quiet windows out of what
  /// foretells, so that they do not foretell themselves; -1 uses all.
  Eigen::MatrixXf surprises(const LevelWindow& window, int fold = -1) const;

  /// The product of the inverse of the usual errors' covariance with `surprise`.
  Eigen::VectorXf weighed(const Eigen::VectorXf& surprise) const;

 private:
  Eigen::MatrixXf features(const LevelWindow& window, int cell) const;
  void learn_foretelling(const std::vector<LevelWindow>& quiet);
  void learn_errors(const std::vector<LevelWindow>& quiet);

  recording::GridLayout layout_;
  Foresight foresight_;
  Eigen::VectorXf means_;
  std::vector<std::array<Eigen::VectorXf, 3>> weights_;  ///< of each cell: without a half, and all
  Eigen::MatrixXf directions_;
  Eigen::VectorXf own_;       ///< inverse variance of each cell's own error
  Eigen::MatrixXf together_;  ///< of the directions' scores, in Woodbury's identity
};

}  // namespace thumblight::onset
