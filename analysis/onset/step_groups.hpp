#pragma once

#include <vector>

#include "analysis/onset/cell_steps.hpp"

namespace thumblight::onset {

/// One step of a whole group of cells.
struct GroupStep {
  double time_s = 0;
  double height = 0;  ///< mean over the cells that stepped, linear light
  double share = 0;   ///< of the group's cells
};

/// Neighbouring cells that step together: a patch, a lamp, a reflection.
struct StepGroup {
  std::vector<int> cells;
  std::vector<double> heights;  ///< typical step of each cell
  std::vector<GroupStep> ups;
  std::vector<GroupStep> downs;

  /// Sum of squares of the cells' heights: how much light the group switches.
  double strength() const;
};

/// The groups of a film, the strongest first.
std::vector<StepGroup> find_step_groups(const std::vector<CellTrain>& trains,
                                        const recording::GridLayout& layout);

/// The steps of cells that are known to belong together.
StepGroup group_of(const std::vector<CellTrain>& trains, const std::vector<int>& cells);

/// How long the group stays bright, in the middle of all its steps; 0 where it shows no step down.
double bright_time_s(const StepGroup& group);

/// How many of `times` have one of `others` within `tolerance_s` after adding `lead_s`.
int count_matches(const std::vector<GroupStep>& times, const std::vector<GroupStep>& others,
                  double lead_s, double tolerance_s);

}  // namespace thumblight::onset
