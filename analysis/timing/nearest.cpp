#include "analysis/timing/nearest.hpp"

#include <algorithm>

namespace thumblight::timing {
namespace {

/// The place nearest to `value`, where `above` is the first place that is not below it.
std::size_t nearer_of(const std::vector<double>& sorted, std::size_t above, double value) {
  if (above == 0) {
    return 0;
  }
  const bool take_below =
      above == sorted.size() || value - sorted[above - 1] <= sorted[above] - value;
  return take_below ? above - 1 : above;
}

}  // namespace

std::size_t nearest(const std::vector<double>& sorted, double value) {
  const auto above = std::lower_bound(sorted.begin(), sorted.end(), value);
  return nearer_of(sorted, static_cast<std::size_t>(above - sorted.begin()), value);
}

std::size_t nearest_from(const std::vector<double>& sorted, std::size_t from, double value) {
  constexpr int kSteps = 8;
  std::size_t above = from;
  for (int k = 0; k < kSteps; ++k) {
    const bool is_above = above == sorted.size() || sorted[above] >= value;
    if (is_above && (above == 0 || sorted[above - 1] < value)) {
      return nearer_of(sorted, above, value);
    }
    above = is_above ? above - 1 : above + 1;
  }
  return nearest(sorted, value);
}

}  // namespace thumblight::timing
