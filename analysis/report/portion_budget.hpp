#pragma once

#include <optional>
#include <vector>

#include "analysis/statistics/budget.hpp"
#include "analysis/statistics/summary.hpp"
#include "analysis/timing/split.hpp"

namespace thumblight::report {

/// The uncertainty of a portion's mean in ms: the presses' scatter, which falls with their number,
/// and what is off at every press alike, which does not. `value_u_ms` is the standard uncertainty
/// of one value from its instants; where the presses scatter less than that, it counts instead,
/// since instants read alike may be wrong alike. Empty for one press, and where nothing is known.
///
/// The presses' scatter holds the scatter of marks made by hand too. So where their repeatability
/// is known it is a line of its own (type A, with its degrees of freedom), and the scatter is what
/// is left without it: nothing counts twice.
std::optional<statistics::Budget> portion_budget(
    const statistics::Summary& summary, std::optional<double> value_u_ms,
    const std::vector<timing::SharedError>& shared,
    const std::optional<timing::MarkRepeatability>& repeatability = std::nullopt);

}  // namespace thumblight::report
