#pragma once

#include <string>
#include <vector>

#include "analysis/rehearsal/settings.hpp"

namespace thumblight::rehearsal {

/// Names of ready-made set-ups, all of invented devices.
std::vector<std::string> preset_names();

/// Throws `Error` with the names that there are.
Settings preset(const std::string& name);

}  // namespace thumblight::rehearsal
