#pragma once

#include <string>

#include "harness/session/records.hpp"

namespace thumblight::harness {

/// What SDL tells of the machine and of itself.
session::Host describe_host();

/// The present moment in UTC, ISO 8601 to the second; `compact` without colons, for a file name.
std::string utc_now(bool compact = false);

}  // namespace thumblight::harness
