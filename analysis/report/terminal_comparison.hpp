#pragma once

#include <cstddef>
#include <string>

#include "analysis/report/comparison.hpp"
#include "analysis/report/wrap.hpp"

namespace thumblight::report {

/// The comparison for a terminal: for two set-ups the verdict, each portion's difference, the ranks
/// and the spreads; for more, a table of all pairs for each portion. Tables take 60 columns.
std::string terminal_comparison(const ComparisonResult& comparison,
                                std::size_t columns = kTerminalColumns);

}  // namespace thumblight::report
