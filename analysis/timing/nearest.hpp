#pragma once

#include <cstddef>
#include <vector>

namespace thumblight::timing {

/// The place of the value nearest to `value`, the lower of two that are equally near. `sorted` must
/// not be empty.
std::size_t nearest(const std::vector<double>& sorted, double value);

/// The same, quick where it is a few places from `from`.
std::size_t nearest_from(const std::vector<double>& sorted, std::size_t from, double value);

}  // namespace thumblight::timing
