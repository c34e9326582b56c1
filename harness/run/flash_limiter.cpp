#include "harness/run/flash_limiter.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::harness {

bool FlashLimiter::allows(std::int64_t now_ns) const {
  return latest_.size() < kMostFlashes || now_ns - latest_.front().dark_ns >= kWindow_ns;
}

void FlashLimiter::lit(std::int64_t at_ns) {
  latest_.push_back({at_ns, at_ns});
  if (latest_.size() > kMostFlashes) {
    latest_.pop_front();
  }
}

void FlashLimiter::darkened(std::int64_t at_ns) {
  if (!latest_.empty()) {
    latest_.back().dark_ns = at_ns;
  }
}

double relative_luminance(int level) {
  const double code = level / 255.0;
  return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4);
}

bool counts_as_flash(int level_a, int level_b) {
  const double a = relative_luminance(level_a);
  const double b = relative_luminance(level_b);
  return std::abs(a - b) >= 0.10 && std::min(a, b) < 0.80;
}

}  // namespace thumblight::harness
