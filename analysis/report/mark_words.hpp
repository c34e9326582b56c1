#pragma once

#include <string>
#include <vector>

#include "analysis/report/result.hpp"

namespace thumblight::report {

/// What was placed, added and left out by hand, and how well the marks repeat, in sentences;
/// empty where nothing was. Reasons are as their writer wrote them.
std::vector<std::string> mark_words(const Result& result);

/// "left out: blurred" of a press, as its writer wrote it; empty for one that counts.
std::string left_out_words(const timing::PressSplit& press);

}  // namespace thumblight::report
