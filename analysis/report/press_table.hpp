#pragma once

#include <string>

#include "analysis/report/result.hpp"

namespace thumblight::report {

/// Every press as CSV: its number in the recording and in the log, each portion and its standard
/// uncertainty in milliseconds, flags parted by spaces. A cell is empty where nothing is known.
std::string encode_press_csv(const Result& result);

}  // namespace thumblight::report
