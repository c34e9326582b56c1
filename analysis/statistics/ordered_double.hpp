#pragma once

#include <cstdint>
#include <functional>

namespace thumblight::statistics {

/// The least finite double in low to high for which `reaches` is true; `reaches` must turn from
/// false to true once over that range and be true at `high`. Bisects on the order of the doubles
/// themselves, so that it ends, exactly, after at most 64 questions.
double least_double_that(double low, double high, const std::function<bool(double)>& reaches);

}  // namespace thumblight::statistics
