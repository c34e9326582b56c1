#pragma once

#include <cstddef>
#include <string>

#include "analysis/report/plan.hpp"
#include "analysis/report/wrap.hpp"

namespace thumblight::report {

/// The plan for a terminal: where the spread comes from, the answer in a sentence, what more
/// presses cannot mend, how long it will take. Its table takes 60 columns.
std::string terminal_plan(const Plan& plan, std::size_t columns = kTerminalColumns);

}  // namespace thumblight::report
