#pragma once

#include <Eigen/Core>
#include <vector>

#include "analysis/onset/ordinary_motion.hpp"

namespace thumblight::onset {

/// What one kind of answer shows in the cells (a menu's choice goes up or down), and the filter
/// that finds it best among ordinary motion.
struct ChangePattern {
  Eigen::VectorXf cells;
  Eigen::VectorXf filter;  ///< its product with `cells` is 1
  float noise = 0;         ///< of the amount where nothing changes ...
  float least = 0;         ///< ... and what stands out of it
};

ChangePattern pattern_of(const Eigen::VectorXf& cells, const OrdinaryMotion& motion);

/// Cell by cell the median, or of fewer than three the mean.
Eigen::VectorXf middle_of(const std::vector<Eigen::VectorXf>& all);

/// How much of the pattern each frame of a window shows; `fold` as in `OrdinaryMotion::surprises`.
std::vector<float> amounts_of(const ChangePattern& pattern, const LevelWindow& window,
                              const OrdinaryMotion& motion, int fold);

/// Learns how much of the pattern ordinary motion shows.
void learn_noise(const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion,
                 std::int64_t memory, ChangePattern& pattern);

/// How strongly the mean of some surprises stands out of ordinary motion.
double strength_together(const std::vector<Eigen::VectorXf>& all, const OrdinaryMotion& motion);

/// How many standard errors the halves of `all` agree by.
double sureness_of(const std::vector<Eigen::VectorXf>& all, const OrdinaryMotion& motion);

}  // namespace thumblight::onset
