#pragma once

#include <cstddef>
#include <optional>
#include <vector>

/// Which clocks are possible if no press comes after its arrival and no light before its submit.
/// The host's clock is the recording's and an offset: theta0 + theta1 x at recording time x.
/// Moon, Skelly and Towsley (INFOCOM 1999) bound a rate by one-way delays in the same manner.
namespace thumblight::timing {

/// theta0 + theta1 `x_s` is at most (`above`) or at least (not `above`) `offset_s`.
struct ClockLimit {
  double x_s = 0;
  double offset_s = 0;
  bool above = false;
  std::size_t press = 0;  ///< the caller's number of the press that sets the limit
};

/// One clock: host = recording + theta0 + theta1 x.
struct Clock {
  double theta0_s = 0;
  double theta1 = 0;
  double offset_at(double x_s) const { return theta0_s + theta1 * x_s; }
};

/// The two presses that contradict each other the most, whatever the clock, and by how much.
struct Contradiction {
  std::size_t press_by_light = 0;
  std::size_t press_by_arrival = 0;
  double by_s = 0;
  /// All that one clock cannot meet: the two, and those that keep another rate from meeting them.
  std::vector<std::size_t> presses;
};

/// The rates that are possible: theta1 lies between these.
struct RateRange {
  double low = 0;
  double high = 0;
};

struct FeasibleClocks {
  std::vector<Clock> corners;  ///< of the polygon of possible clocks; empty where there is none
  bool bounded = false;        ///< there are limits from above and from below
  std::optional<Contradiction> contradiction;
};

/// The polygon of clocks that keep every limit, to a nanosecond, and whose rate is in the range.
/// Linear in the number of limits, because a polygon of clocks has few corners.
FeasibleClocks feasible_clocks(const std::vector<ClockLimit>& limits, const RateRange& rates);

/// The same with |theta1| at most `largest_rate`.
FeasibleClocks feasible_clocks(const std::vector<ClockLimit>& limits, double largest_rate);

}  // namespace thumblight::timing
