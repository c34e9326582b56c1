#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace thumblight::onset {

/// The value of `values` with `share` of the others below it, none between two of them; 0 where
/// there is none.
template <typename Value>
Value quantile_of(std::vector<Value> values, double share) {
  if (values.empty()) {
    return 0;
  }
  const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + at, values.end());
  return values[static_cast<std::size_t>(at)];
}

}  // namespace thumblight::onset
