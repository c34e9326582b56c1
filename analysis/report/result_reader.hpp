#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>

#include "analysis/report/result.hpp"

namespace thumblight::report {

/// What result.json says of a session as a whole: summaries, bounds, budgets, spreads, clock link,
/// recording, labels, warnings and what it was made from. The presses are left aside, so that what
/// is kept does not grow with them, and so are quantile intervals, outliers and course. `file`
/// names the document in faults, which throw `Error` with the key.
Result read_result_summary(const nlohmann::json& document, const std::string& file);

/// What the result was made from alone; empty where it does not say.
std::optional<Provenance> read_provenance(const nlohmann::json& document, const std::string& file);

}  // namespace thumblight::report
