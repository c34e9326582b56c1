#pragma once

#include <vector>

#include "analysis/onset/film.hpp"
#include "analysis/onset/step_groups.hpp"

namespace thumblight::onset {

/// Cells that move a like time before the lights, press after press; empty where none do. Looks
/// while the patch is dark, elsewhere than there, and not around `lamp`, which shines on what is
/// about it.
std::vector<int> find_moving_cells(Film& film, const std::vector<double>& light_s,
                                   const StepGroup& patch, const std::vector<int>& lamp);

/// The connected cells with the greatest sum of scores, of those that score at least `least`.
std::vector<int> strongest_component(const std::vector<double>& scores, double least,
                                     const recording::GridLayout& layout);

/// Takes away the scores of `cells` and of those around them.
void leave_out_around(const std::vector<int>& cells, const recording::GridLayout& layout,
                      std::vector<double>& scores);

}  // namespace thumblight::onset
