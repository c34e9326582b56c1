#pragma once

#include <string>

#include "harness/session/records.hpp"

namespace thumblight::session {

/// The record as one line of JSON without its line feed; text that is not valid UTF-8 is mended.
std::string encode(const Record& record);

}  // namespace thumblight::session
