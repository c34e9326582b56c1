#pragma once

#include <cstddef>
#include <string>

#include "analysis/report/comparison.hpp"

namespace thumblight::report {

/// What sessions with the same screen lend each other, for a terminal: the supposition, the shared
/// mean, and the deliveries it leaves. Empty where nothing is lent and nobody contradicts anybody.
std::string terminal_carry_over(const ComparisonResult& comparison, std::size_t columns);

}  // namespace thumblight::report
