#include "analysis/timing/causality.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace thumblight::timing {
namespace {

/// The finest step of a host's clock; limits that touch within it do not contradict each other.
constexpr double kSlackSeconds = 1e-9;

/// How far the clock keeps the limit, in seconds; negative where it breaks it.
double room(const ClockLimit& limit, const Clock& clock) {
  const double offset_s = clock.offset_at(limit.x_s);
  return kSlackSeconds + (limit.above ? limit.offset_s - offset_s : offset_s - limit.offset_s);
}

Clock crossing(const Clock& inside, double inside_room, const Clock& outside, double outside_room) {
  const double share = inside_room / (inside_room - outside_room);
  return {inside.theta0_s + share * (outside.theta0_s - inside.theta0_s),
          inside.theta1 + share * (outside.theta1 - inside.theta1)};
}

/// The part of a convex polygon that keeps the limit (Sutherland and Hodgman's clipping).
std::vector<Clock> clip(std::vector<Clock> polygon, const ClockLimit& limit) {
  if (std::all_of(polygon.begin(), polygon.end(),
                  [&](const Clock& clock) { return room(limit, clock) >= 0; })) {
    return polygon;
  }
  std::vector<Clock> kept;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Clock& here = polygon[k];
    const Clock& next = polygon[(k + 1) % polygon.size()];
    const double room_here = room(limit, here);
    const double room_next = room(limit, next);
    if (room_here >= 0) {
      kept.push_back(here);
    }
    if ((room_here > 0 && room_next < 0) || (room_here < 0 && room_next > 0)) {
      kept.push_back(room_here > 0 ? crossing(here, room_here, next, room_next)
                                   : crossing(next, room_next, here, room_here));
    }
  }
  return kept;
}

/// A box of clocks that no limit can leave.
std::vector<Clock> widest_box(const std::vector<ClockLimit>& limits, const RateRange& rates) {
  const double largest_rate = std::max(std::abs(rates.low), std::abs(rates.high));
  double farthest_s = 1;
  for (const ClockLimit& limit : limits) {
    farthest_s =
        std::max(farthest_s, std::abs(limit.offset_s) + largest_rate * std::abs(limit.x_s) + 1);
  }
  return {{-farthest_s, rates.low},
          {farthest_s, rates.low},
          {farthest_s, rates.high},
          {-farthest_s, rates.high}};
}

/// What contradicts what at one rate.
Contradiction contradiction_at(const std::vector<ClockLimit>& limits, double theta1) {
  double highest_floor_s = -std::numeric_limits<double>::infinity();
  double lowest_ceiling_s = std::numeric_limits<double>::infinity();
  Contradiction found;
  for (const ClockLimit& limit : limits) {
    const double theta0_s = limit.offset_s - theta1 * limit.x_s;
    if (limit.above && theta0_s < lowest_ceiling_s) {
      lowest_ceiling_s = theta0_s;
      found.press_by_arrival = limit.press;
    } else if (!limit.above && theta0_s > highest_floor_s) {
      highest_floor_s = theta0_s;
      found.press_by_light = limit.press;
    }
  }
  found.by_s = highest_floor_s - lowest_ceiling_s;
  return found;
}

void add_once(std::vector<std::size_t>& presses, std::size_t press) {
  if (std::find(presses.begin(), presses.end(), press) == presses.end()) {
    presses.push_back(press);
  }
}

/// The contradiction at the rate where it is least; it is convex in the rate, so thirds find it.
/// On either side of that rate another pair may contradict itself more: they hold the rate there.
Contradiction least_contradiction(const std::vector<ClockLimit>& limits, const RateRange& rates) {
  double low = rates.low;
  double high = rates.high;
  constexpr int kSteps = 80;
  for (int k = 0; k < kSteps; ++k) {
    const double third = (high - low) / 3;
    if (contradiction_at(limits, low + third).by_s < contradiction_at(limits, high - third).by_s) {
      high -= third;
    } else {
      low += third;
    }
  }
  const double best = (low + high) / 2;
  constexpr double kBeside = 1e-9;
  Contradiction found = contradiction_at(limits, best);
  for (const double rate : {best, best - kBeside, best + kBeside}) {
    if (rate >= rates.low && rate <= rates.high) {
      const Contradiction beside = contradiction_at(limits, rate);
      add_once(found.presses, beside.press_by_light);
      add_once(found.presses, beside.press_by_arrival);
    }
  }
  std::sort(found.presses.begin(), found.presses.end());
  return found;
}

}  // namespace

FeasibleClocks feasible_clocks(const std::vector<ClockLimit>& limits, const RateRange& rates) {
  FeasibleClocks feasible;
  const auto is_above = [](const ClockLimit& limit) { return limit.above; };
  feasible.bounded = std::any_of(limits.begin(), limits.end(), is_above) &&
                     !std::all_of(limits.begin(), limits.end(), is_above);
  if (!feasible.bounded) {
    return feasible;
  }
  feasible.corners = widest_box(limits, rates);
  for (const ClockLimit& limit : limits) {
    feasible.corners = clip(std::move(feasible.corners), limit);
    if (feasible.corners.empty()) {
      feasible.contradiction = least_contradiction(limits, rates);
      return feasible;
    }
  }
  return feasible;
}

FeasibleClocks feasible_clocks(const std::vector<ClockLimit>& limits, double largest_rate) {
  return feasible_clocks(limits, RateRange{-largest_rate, largest_rate});
}

}  // namespace thumblight::timing
