#pragma once

#include <optional>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/timing/press_rows.hpp"
#include "analysis/timing/split.hpp"

namespace thumblight::timing {

/// What the repeatability of marks leaves open in each portion, over the presses that have a value
/// and are not left out. An instant that is the mean of m passes is open by the within-person
/// standard deviation / sqrt(m) (JCGM 100:2008, 4.2.3). `rows` are those of `presses`.
PerPortion<std::optional<MarkRepeatability>> mark_repeatability(
    const std::vector<PressSplit>& presses, const std::vector<PressRow>& rows,
    const onset::HandMarks& by_hand);

}  // namespace thumblight::timing
