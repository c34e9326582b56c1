#include "analysis/timing/split.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/onset/warnings.hpp"
#include "analysis/timing/causality.hpp"
#include "analysis/timing/pairing.hpp"
#include "analysis/timing/press_rows.hpp"
#include "analysis/timing/split_warnings.hpp"
#include "harness/session/error.hpp"

namespace thumblight::timing {
namespace {

constexpr double kMsPerSecond = 1e3;

std::optional<double> difference_ms(const std::optional<double>& later_s,
                                    const std::optional<double>& earlier_s) {
  if (!later_s || !earlier_s) {
    return std::nullopt;
  }
  return (*later_s - *earlier_s) * kMsPerSecond;
}

std::optional<double> first_instant_s(const onset::Timings& timings) {
  for (const onset::PressTiming& press : timings.presses) {
    if (press.press || press.light) {
      return press.press ? press.press->t_s : press.light->t_s;
    }
  }
  return std::nullopt;
}

Timebase base_of(const onset::Timings& timings, const session::Log* log, ClockLinkKind kind) {
  Timebase base = Timebase::shared(first_instant_s(timings).value_or(0));
  if (kind != ClockLinkKind::kShared) {
    base.host_ns = log == nullptr || log->presses.empty() ? 0 : log->presses.front().arrival_ns;
  }
  return base;
}

SpacingLimits limits_of(ClockLinkKind kind) {
  if (kind == ClockLinkKind::kShared) {
    return {0, kDeliveryOnOneClockSeconds};
  }
  return {kLargestRateError, std::nullopt};
}

std::optional<double> uncertainty_ms(const onset::PressTiming& press) {
  if (!press.press || !press.light || !press.press->u_s || !press.light->u_s) {
    return std::nullopt;
  }
  return std::hypot(*press.press->u_s, *press.light->u_s) * kMsPerSecond;
}

PortionValues portions_of(const PressRow& row, ClockLinkKind kind) {
  PortionValues values;
  values[Portion::kTotal] = difference_ms(row.light_s, row.press_s);
  values[Portion::kRender] = difference_ms(row.flip_s, row.arrival_s);
  if (values[Portion::kTotal] && values[Portion::kRender]) {
    values[Portion::kRemainder] = *values[Portion::kTotal] - *values[Portion::kRender];
  }
  if (kind == ClockLinkKind::kShared) {
    values[Portion::kDelivery] = difference_ms(row.arrival_s, row.press_s);
    values[Portion::kScreen] = difference_ms(row.light_s, row.flip_s);
    values[Portion::kDisplay] = difference_ms(row.light_s, row.arrival_s);
  }
  return values;
}

PressSplit split_row(const PressRow& row, ClockLinkKind kind) {
  PressSplit press;
  if (row.recorded != nullptr) {
    press.recorded_index = row.recorded->index;
  }
  if (row.logged != nullptr) {
    press.logged_index = row.logged->index;
  }
  press.portions_ms = portions_of(row, kind);
  if (press.portions_ms[Portion::kTotal]) {
    press.total_u_ms = uncertainty_ms(*row.recorded);
  }
  press.flags = row.flags;
  return press;
}

std::optional<Drift> drift_of_rows(const std::vector<PressRow>& rows) {
  std::vector<Point> points;
  for (const PressRow& row : rows) {
    if (row.light_s && row.submit_s) {
      points.push_back({*row.light_s, *row.submit_s - *row.light_s});
    }
  }
  return drift_of(points);
}

std::vector<ClockLimit> clock_limits(const std::vector<PressRow>& rows) {
  std::vector<ClockLimit> limits;
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const PressRow& row = rows[k];
    if (row.press_s && row.arrival_s) {
      const double widened_s = *row.arrival_s - *row.press_s + widening_s(row.recorded->press);
      limits.push_back({*row.press_s, widened_s, true, k});
    }
    if (row.light_s && row.submit_s) {
      const double widened_s = *row.submit_s - *row.light_s - widening_s(row.recorded->light);
      limits.push_back({*row.light_s, widened_s, false, k});
    }
  }
  return limits;
}

/// The means over the presses that have every instant; linear in the clock, so that a portion's
/// bounds lie at corners of the feasible polygon.
struct MeanInstants {
  std::size_t n = 0;
  double press_s = 0;
  double light_s = 0;
  double delivery_s = 0;  ///< arrival - press, each on its own clock
  double display_s = 0;   ///< light - arrival, likewise
  double render_s = 0;
};

MeanInstants mean_instants(const std::vector<PressRow>& rows) {
  MeanInstants mean;
  for (const PressRow& row : rows) {
    if (!row.press_s || !row.light_s || !row.arrival_s || !row.flip_s) {
      continue;
    }
    const double weight = 1 / static_cast<double>(++mean.n);
    const auto add = [weight](double& into, double value) { into += (value - into) * weight; };
    add(mean.press_s, *row.press_s);
    add(mean.light_s, *row.light_s);
    add(mean.delivery_s, *row.arrival_s - *row.press_s);
    add(mean.display_s, *row.light_s - *row.arrival_s);
    add(mean.render_s, *row.flip_s - *row.arrival_s);
  }
  return mean;
}

void widen(std::optional<Bounds>& bounds, double value_ms) {
  if (!bounds) {
    bounds = Bounds{value_ms, value_ms};
  }
  bounds->low_ms = std::min(bounds->low_ms, value_ms);
  bounds->high_ms = std::max(bounds->high_ms, value_ms);
}

/// No portion is negative, whatever the uncertainty of the instants lets a corner say.
void hold_above(std::optional<Bounds>& bounds, double least_ms) {
  bounds->low_ms = std::max(bounds->low_ms, least_ms);
  bounds->high_ms = std::max(bounds->high_ms, least_ms);
}

PerPortion<std::optional<Bounds>> bound_means(const std::vector<PressRow>& rows,
                                              const std::vector<Clock>& corners) {
  PerPortion<std::optional<Bounds>> bounds;
  const MeanInstants mean = mean_instants(rows);
  if (mean.n == 0 || corners.empty()) {
    return bounds;
  }
  for (const Clock& clock : corners) {
    const double delivery_s = mean.delivery_s - clock.offset_at(mean.press_s);
    const double display_s = mean.display_s + clock.offset_at(mean.light_s);
    widen(bounds[Portion::kDelivery], delivery_s * kMsPerSecond);
    widen(bounds[Portion::kDisplay], display_s * kMsPerSecond);
    widen(bounds[Portion::kScreen], (display_s - mean.render_s) * kMsPerSecond);
  }
  hold_above(bounds[Portion::kDelivery], 0);
  hold_above(bounds[Portion::kScreen], 0);
  hold_above(bounds[Portion::kDisplay], mean.render_s * kMsPerSecond);
  return bounds;
}

void bound_by_causality(const std::vector<PressRow>& rows, Split& split) {
  const FeasibleClocks feasible = feasible_clocks(clock_limits(rows), kLargestRateError);
  split.mean_bounds_ms = bound_means(rows, feasible.corners);
  if (feasible.bounded) {
    split.clock_link.feasible = !feasible.corners.empty();
  }
  warn_of_causality(rows, feasible, split.warnings);
}

void check_input(const onset::Timings& timings, const session::Log* log, ClockLinkKind kind) {
  if (timings.presses.empty()) {
    throw Error(
        "the timings hold no press, so there is nothing to split; read the recording anew, "
        "or mark the presses");
  }
  if (log == nullptr && kind != ClockLinkKind::kNone) {
    throw Error(std::string("the clock link '") + name(kind) +
                "' needs the session log; name it with --log");
  }
}

}  // namespace

Split split_presses(const onset::Timings& timings, const session::Log* log, ClockLinkKind kind) {
  check_input(timings, log, kind);
  const Timebase base = base_of(timings, log, kind);
  const Flips flips = log == nullptr ? Flips{} : find_flips(*log);
  Pairing pairing;
  if (log != nullptr) {
    pairing = pair_presses(log->presses, timings.presses, base, limits_of(kind));
  }
  std::vector<PressRow> rows = merge_rows(timings.presses, log, flips, pairing, base);
  drop_impossible(rows, kind == ClockLinkKind::kShared);

  Split split;
  split.warnings = timings.warnings;
  split.flip_how = flips.how;
  split.clock_link.kind = kind;
  split.clock_link.drift = drift_of_rows(rows);
  split.counts = {timings.presses.size(), log == nullptr ? 0 : log->presses.size(),
                  pairing.pairs.size()};
  for (const PressRow& row : rows) {
    split.presses.push_back(split_row(row, kind));
  }
  if (log != nullptr) {
    warn_of_log(*log, pairing, rows, split.warnings);
  }
  warn_of_rows(rows, split.warnings);
  if (kind == ClockLinkKind::kCausality && !pairing.pairs.empty()) {
    bound_by_causality(rows, split);
  }
  return split;
}

}  // namespace thumblight::timing
