#pragma once

#include <string>

#include "analysis/marks/records.hpp"

namespace thumblight::marks {

/// One line of the file without its line feed; text that is not valid UTF-8 is mended.
std::string encode_header(const std::string& started_utc);
std::string encode(const Entry& entry);

}  // namespace thumblight::marks
