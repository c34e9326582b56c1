#pragma once

#include <string>

#include "analysis/report/result.hpp"

namespace thumblight::report {

inline constexpr char kResultFormat[] = "thumblight-result";
inline constexpr int kResultVersion = 1;

/// result.json: milliseconds to the nanosecond, one press a line, what is unknown `null`. A portion
/// known within bounds alone has "bounds" and no mean.
std::string encode_result_json(const Result& result);

}  // namespace thumblight::report
