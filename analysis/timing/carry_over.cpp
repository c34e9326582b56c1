#include "analysis/timing/carry_over.hpp"

#include <algorithm>

namespace thumblight::timing {

CarryOver carry_over(const std::vector<ScreenEvidence>& sessions) {
  CarryOver carried;
  if (sessions.empty()) {
    return carried;
  }
  const auto low_ms = [&](std::size_t k) {
    return sessions[k].mean_ms.low_ms - sessions[k].sampling_ms;
  };
  const auto high_ms = [&](std::size_t k) {
    return sessions[k].mean_ms.high_ms + sessions[k].sampling_ms;
  };
  std::size_t low_from = 0;
  std::size_t high_from = 0;
  for (std::size_t k = 1; k < sessions.size(); ++k) {
    low_from = low_ms(k) > low_ms(low_from) ? k : low_from;
    high_from = high_ms(k) < high_ms(high_from) ? k : high_from;
  }
  if (low_ms(low_from) > high_ms(high_from)) {
    carried.contradiction = {low_from, high_from};
  } else {
    carried.screen = SharedScreen{{low_ms(low_from), high_ms(high_from)}, low_from, high_from};
  }
  return carried;
}

Bounds own_screen_ms(const SharedScreen& shared, double sampling_ms,
                     const std::optional<Bounds>& own_ms) {
  Bounds bounds = {std::max(0.0, shared.mean_ms.low_ms - sampling_ms),
                   std::max(0.0, shared.mean_ms.high_ms + sampling_ms)};
  if (own_ms) {
    bounds.low_ms = std::max(bounds.low_ms, own_ms->low_ms);
    bounds.high_ms = std::max(bounds.low_ms, std::min(bounds.high_ms, own_ms->high_ms));
  }
  return bounds;
}

}  // namespace thumblight::timing
