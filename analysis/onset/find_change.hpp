#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "analysis/onset/film.hpp"

namespace thumblight::onset {

/// Gives the levels of some frames of a part of the picture: a column a frame, a row a cell.
using ReadLevels = std::function<Eigen::MatrixXf(std::int64_t first, std::int64_t count)>;

/// Where and after what to look for change.
struct ChangeQuestion {
  ReadLevels levels;
  recording::GridLayout layout;  ///< of the part of the picture
  const Film* film = nullptr;    ///< its times
  std::vector<double> press_s;   ///< in order, on the time line of the part's frames
  double exposure_s = 0;
};

/// What followed one press.
struct Change {
  double begin_s = 0;  ///< of the first picture that has changed
  double u_s = 0;      ///< standard uncertainty, half a frame (rectangular) at the least
  bool doubtful = false;
};

struct ChangeAnswer {
  std::vector<std::optional<Change>> changes;  ///< of each press; empty where nothing stands out
  double decay_s = 0;                          ///< time constant of the first picture's rise
  double shared_u_s = 0;                       ///< the part of `u_s` that all changes share
  double row_px = 0;                           ///< where it changes, from the part's first row
  bool slow = false;  ///< it begins so slowly that its first picture may have been missed
};

/// Finds what each press changes beyond the part's ordinary motion.
ChangeAnswer find_changes(const ChangeQuestion& question);

/// A change comes within this time after its press.
inline constexpr double kLongestAnswer_s = 0.6;

}  // namespace thumblight::onset
