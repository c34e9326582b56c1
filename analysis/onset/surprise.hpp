#pragma once

#include <cstddef>
#include <vector>

#include "analysis/onset/ordinary_motion.hpp"

/// How far frames are out of the ordinary.
namespace thumblight::onset {

/// The first of at least three frames out of four that exceed `least`; `values.size()` if none do.
std::size_t first_run(const std::vector<float>& values, std::size_t from, float least);

/// Sums over blocks of 4 x 4 cells that overlap by half.
Eigen::VectorXf block_sums(const Eigen::VectorXf& parts, const recording::GridLayout& layout);

/// The greatest sum over such a block: a small figure's change is not lost among all
/// cells.
float greatest_block(const Eigen::VectorXf& parts, const recording::GridLayout& layout);

/// How surprising each frame of a window is, in the block in which it is most so; 0 for the frames
/// before `memory`.
std::vector<float> surprise_of(const Eigen::MatrixXf& surprises, const OrdinaryMotion& motion,
                               const recording::GridLayout& layout, std::int64_t memory);

}  // namespace thumblight::onset
