#pragma once

#include <filesystem>

#include "analysis/report/plan.hpp"
#include "analysis/timing/portions.hpp"

namespace thumblight::commands {

/// What a first session's result.json (the file, or the folder that holds it) says of a portion.
/// Throws `Error` where there is none, or nothing of this portion press by press.
report::Pilot read_pilot(const std::filesystem::path& path, timing::Portion portion);

}  // namespace thumblight::commands
