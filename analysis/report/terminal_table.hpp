#pragma once

#include <string>

#include "analysis/report/result.hpp"

namespace thumblight::report {

/// The result for a terminal of 80 columns: one row a portion, in milliseconds, each number
/// rounded to what its uncertainty carries, bounds rounded outwards.
std::string terminal_table(const Result& result);

/// The warnings for a terminal, each with its remedy; empty if there is none.
std::string terminal_warnings(const std::vector<onset::Warning>& warnings);

}  // namespace thumblight::report
