#include "analysis/timing/flip_check.hpp"

#include <cmath>

#include "analysis/timing/press_rows.hpp"

namespace thumblight::timing {
namespace {

/// Whether the mean of a portion that cannot be negative is so, beyond all that is doubtful of it.
bool is_negative(const Split& split, Portion portion) {
  double sum_ms = 0;
  double variance = 0;
  double count = 0;
  for (const PressSplit& press : split.presses) {
    if (press.portions_ms[portion] && !press.left_out) {
      ++count;
      sum_ms += *press.portions_ms[portion];
      variance += std::pow(press.u_ms[portion].value_or(0), 2);
    }
  }
  if (count == 0) {
    return false;
  }
  variance /= count * count;
  double bound_ms = 0;
  for (const SharedError& error : split.shared[portion]) {
    if (error.half_width_ms) {
      bound_ms += *error.half_width_ms;
    } else {
      variance += error.u_ms * error.u_ms;
    }
  }
  return sum_ms / count + bound_ms + kWidening * std::sqrt(variance) < 0;
}

}  // namespace

bool are_flips_too_late(const Split& split) {
  return split.clock_link.feasible == false || is_negative(split, Portion::kScreen) ||
         is_negative(split, Portion::kRemainder);
}

}  // namespace thumblight::timing
