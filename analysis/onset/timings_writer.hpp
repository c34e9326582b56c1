#pragma once

#include <string>

#include "analysis/onset/timings.hpp"

namespace thumblight::onset {

/// timings.json: one press a line; what is unknown is `null`; text that is not valid UTF-8 is
/// mended.
std::string encode_timings_json(const Timings& timings);

/// The table form, in seconds: instants and uncertainties only. How an instant was found, its
/// frame, flags and warnings have no column and are left out.
std::string encode_timings_table(const Timings& timings);

}  // namespace thumblight::onset
