#pragma once

#include <vector>

namespace thumblight::bench {

/// The quantile `share` (0 to 1) of the values, linear between neighbours (Hyndman and Fan's
/// definition 7). There must be a value.
double quantile(std::vector<double> values, double share);

}  // namespace thumblight::bench
