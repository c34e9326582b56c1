#pragma once

#include <vector>

#include "analysis/onset/find_change.hpp"
#include "analysis/onset/ordinary_motion.hpp"

namespace thumblight::onset {

/// Frames of the film from `first` to before `last`.
struct Stretch {
  std::int64_t first = 0;
  std::int64_t last = 0;
};

LevelWindow read_window(const ChangeQuestion& question, const Stretch& stretch);

/// What counts as restless: so many times the usual surprise and so many deviations above it, in so
/// many of the quiet windows.
struct Restless {
  float times_usual = 0;
  float deviations = 0;
  double many = 0;
};

/// The time before each press, in which a part of the screen moves of its own accord.
class QuietTime {
 public:
  /// `question` must outlive it.
  QuietTime(const ChangeQuestion& question, const Foresight& foresight);

  /// Empty where the film has no such time. Half of them, every other one, foretells the other.
  const std::vector<LevelWindow>& windows() const { return windows_; }

  /// Learns how long answers go on: what is out of the ordinary in many quiet windows at the same
  /// time after the press before belongs to its answer. Cuts that off; false where there is nothing
  /// to cut.
  bool trim(const OrdinaryMotion& motion);

 private:
  /// A long stretch in parts, since one half of them foretells the other; each with its own memory.
  std::vector<Stretch> pieces(const Stretch& whole) const;
  /// The last press that lies before the end of a quiet window less the window's own.
  double press_before_s(const LevelWindow& window) const;
  /// After which time since the press before a block of cells stirs no more than it always does.
  double calm_after_s(const std::vector<Eigen::MatrixXf>& blocks, Eigen::Index block,
                      const Restless& limits) const;
  /// Whether enough is left to learn from if answers are held to go on so long.
  bool leaves_enough(double until_s) const;

  const ChangeQuestion& question_;
  Foresight foresight_;
  std::vector<LevelWindow> windows_;
};

}  // namespace thumblight::onset
