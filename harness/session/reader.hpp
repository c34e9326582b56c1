#pragma once

#include <filesystem>
#include <istream>
#include <string>

#include "harness/session/records.hpp"

namespace thumblight::session {

/// Reads a whole log. Strict on the records and keys it knows, deaf to those it does not.
/// A last line that was cut short is left out and `Log::cut` set; a fault anywhere else throws
/// `Error` with `name`, line and key. A newer major version is refused.
Log read_log(std::istream& input, const std::string& name);

/// The same for a file.
Log read_log(const std::filesystem::path& file);

}  // namespace thumblight::session
