#pragma once

#include <string>
#include <vector>

#include "analysis/report/comparison.hpp"

/// What a comparison comes to, in sentences that every writer shares.
namespace thumblight::report {

std::string joined(const std::vector<std::string>& parts, const char* between = ", ");

/// Whether the portion differs, and by how much; `a` and `b` are the names of both.
std::string verdict_sentence(const PortionDifference& difference, const std::string& a,
                             const std::string& b);

/// On the deliveries: known, or by way of the remainders, or why not; empty where nothing is known.
std::string delivery_sentence(const PairComparison& pair, const std::string& a,
                              const std::string& b);

}  // namespace thumblight::report
