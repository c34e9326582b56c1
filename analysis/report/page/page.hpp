#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/report/comparison.hpp"
#include "analysis/report/page/evidence.hpp"

namespace thumblight::report {

/// report.html: one file that opens anywhere without a network. `sessions` is one, or those of
/// `comparison` in its order; `evidence` is empty or has one entry a session. Throws `Error`
/// without sessions.
std::string report_page(const std::vector<ComparedSession>& sessions,
                        const std::optional<ComparisonResult>& comparison,
                        std::vector<Evidence> evidence);

}  // namespace thumblight::report
