#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/timing/trend.hpp"

namespace thumblight::timing {

/// A regular grid of instants that events keep to: a screen's refreshes, a control's polls.
struct PhaseGrid {
  double period_s = 0;
  double u_period_s = 0;  ///< standard uncertainty
  Trend phase;            ///< where the grid lies, by cycle: an instant is cycle * period + phase
  std::size_t n = 0;      ///< events
  double sd_s = 0;        ///< how far the events lie from the grid: a robust standard deviation
  /// How closely the events keep to it: the length of the mean of their phases as unit vectors, 1
  /// for all alike and about 1 / sqrt n for none (the statistic of Rayleigh's test).
  double closeness = 0;
  double chance = 1;  ///< the probability of such a grid among events that know of none, at most

  /// The grid's instant of a cycle.
  double instant_s(double cycle) const { return cycle * period_s + phase.at(cycle * period_s); }
  /// The first cycle whose instant is at `t_s` or after it.
  double cycle_from(double t_s) const;
  /// How far `t_s` lies after the grid's nearest instant, within half a period either way.
  double after_nearest_s(double t_s) const;
};

struct PeriodRange {
  double low_s = 0;
  double high_s = 0;
};

/// The grid that the events (in order of time, seconds) keep to most closely, its period within the
/// range; empty for fewer than eight events and where the best grid is no better than chance makes
/// one in a million times. The period is sought among the first events, then followed event by
/// event, so that the cost grows with the events alone and slow wander is followed.
std::optional<PhaseGrid> find_grid(const std::vector<double>& events_s, const PeriodRange& range);

}  // namespace thumblight::timing
