#pragma once

#include <optional>
#include <vector>

#include "analysis/onset/step_groups.hpp"
#include "harness/session/records.hpp"

namespace thumblight::onset {

/// The lamps of a film, among the groups of cells that step.
struct LampGroups {
  std::optional<StepGroup> button;  ///< lit by the button
  std::optional<StepGroup> host;    ///< switched by the harness, as the log says
};

/// Looks for them in `groups`, of which the patch is none, the strongest first. A lamp lights a
/// like time before the patch does, press after press; it is no reflection of patch or lamp, which
/// go on and off with it; and no thing that moves, which darkens one place as it brightens another.
LampGroups find_lamp_groups(const std::vector<StepGroup>& groups, const StepGroup& patch,
                            double interval_s, const session::Log* log);

}  // namespace thumblight::onset
