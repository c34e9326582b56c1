#pragma once

#include <string>

#include "analysis/report/chart/chart.hpp"
#include "analysis/report/result.hpp"

/// What a chart shows, in a sentence without its full stop: the answer first.
namespace thumblight::report::chart {

/// How long one session takes, and where most of it goes as far as that is known.
std::string finding(const Result& result, ChartKind kind);

}  // namespace thumblight::report::chart
