#pragma once

#include <string>

#include "analysis/report/comparison.hpp"

namespace thumblight::report {

inline constexpr char kComparisonFormat[] = "thumblight-comparison";
inline constexpr int kComparisonVersion = 1;

/// The comparison as JSON, milliseconds, every difference A less B; what is unknown is `null`.
std::string encode_comparison_json(const ComparisonResult& comparison);

}  // namespace thumblight::report
