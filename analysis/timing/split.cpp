#include "analysis/timing/split.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/onset/warnings.hpp"
#include "analysis/timing/causality.hpp"
#include "analysis/timing/flip_check.hpp"
#include "analysis/timing/mark_repeatability.hpp"
#include "analysis/timing/mean_bounds.hpp"
#include "analysis/timing/pairing.hpp"
#include "analysis/timing/press_rows.hpp"
#include "analysis/timing/shared_doubts.hpp"
#include "analysis/timing/split_warnings.hpp"
#include "analysis/timing/timebase.hpp"
#include "harness/session/error.hpp"

namespace thumblight::timing {
namespace {

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

/// The instant on the host's clock.
std::optional<double> on_host(const std::optional<double>& t_s, const LinkedClock& clock) {
  return t_s ? std::optional<double>(*t_s + clock.offset_at(*t_s)) : std::nullopt;
}

std::optional<double> u_of(const onset::PressTiming* press,
                           std::optional<onset::Instant> onset::PressTiming::*member) {
  return press != nullptr && press->*member ? (press->*member)->u_s : std::nullopt;
}

std::optional<double> joined(const std::optional<double>& a, const std::optional<double>& b) {
  return a && b ? std::optional<double>(std::hypot(*a, *b)) : std::nullopt;
}

/// How much faster the host's clock runs than the recording's, where that is seen: the host's is
/// the better one, good to some parts in a million.
double seen_rate(const ClockLink& link) {
  constexpr double kPpm = 1e6;
  constexpr double kSeen = 3;
  if (link.clock) {
    return link.clock->theta1;
  }
  const bool seen = link.drift && std::abs(link.drift->rate_ppm) > kSeen * link.drift->u_ppm;
  return seen ? link.drift->rate_ppm / kPpm : 0;
}

PortionValues portions_of(const PressRow& row, const LinkedClock* clock, double rate) {
  PortionValues values;
  values[Portion::kTotal] = difference_ms(row.light_s, row.press_s);
  if (values[Portion::kTotal]) {
    *values[Portion::kTotal] *= 1 + rate;
  }
  values[Portion::kRender] = difference_ms(row.flip_s, row.arrival_s);
  if (values[Portion::kTotal] && values[Portion::kRender]) {
    values[Portion::kRemainder] = *values[Portion::kTotal] - *values[Portion::kRender];
  }
  if (clock != nullptr) {
    const std::optional<double> press_s = on_host(row.press_s, *clock);
    const std::optional<double> light_s = on_host(row.light_s, *clock);
    values[Portion::kDelivery] = difference_ms(row.arrival_s, press_s);
    values[Portion::kScreen] = difference_ms(light_s, row.flip_s);
    values[Portion::kDisplay] = difference_ms(light_s, row.arrival_s);
  }
  return values;
}

/// Standard uncertainties of the portions that have a value.
PortionValues uncertainties_of(const PressRow& row, const PortionValues& values,
                               const LinkedClock* clock) {
  PortionValues u_ms;
  const auto put = [&](Portion portion, const std::optional<double>& u_s) {
    if (values[portion] && u_s) {
      u_ms[portion] = *u_s * kMsPerSecond;
    }
  };
  const std::optional<double> press_u_s = u_of(row.recorded, &onset::PressTiming::press);
  const std::optional<double> light_u_s = u_of(row.recorded, &onset::PressTiming::light);
  put(Portion::kTotal, joined(press_u_s, light_u_s));
  put(Portion::kRemainder, joined(press_u_s, light_u_s));
  put(Portion::kRender, 0.0);  // the host's stamps alone; the recording has no share in it
  if (clock != nullptr && row.press_s) {
    put(Portion::kDelivery, press_u_s);
  }
  if (clock != nullptr && row.light_s) {
    put(Portion::kScreen, light_u_s);
    put(Portion::kDisplay, light_u_s);
  }
  return u_ms;
}

PressSplit split_row(const PressRow& row, const LinkedClock* clock, double rate) {
  PressSplit press;
  if (row.recorded != nullptr) {
    press.recorded_index = row.recorded->index;
    press.press_how = row.recorded->press ? row.recorded->press->how : "";
    press.light_how = row.recorded->light ? row.recorded->light->how : "";
    press.left_out = row.recorded->left_out;
  }
  if (row.logged != nullptr) {
    press.logged_index = row.logged->index;
  }
  press.portions_ms = portions_of(row, clock, rate);
  press.u_ms = uncertainties_of(row, press.portions_ms, clock);
  press.flags = row.flags;
  return press;
}

std::optional<Drift> drift_of_rows(const std::vector<PressRow>& rows) {
  std::vector<Point> points;
  for (const PressRow& row : rows) {
    if (row.light_s && row.flip_s) {
      points.push_back({*row.light_s, *row.flip_s - *row.light_s});
    }
  }
  return drift_of(points);
}

void bound_by_causality(const std::vector<PressRow>& rows, const Flips& flips,
                        const SharedDoubts& shared, Split& split) {
  const RateRange rates = split.clock_link.drift ? rates_within(*split.clock_link.drift)
                                                 : RateRange{-kLargestRateError, kLargestRateError};
  const std::vector<ClockLimit> limits =
      clock_limits(rows, shared, split.clock_link.scan_out.to_patch_s, flips.half_width_s);
  const FeasibleClocks feasible = feasible_clocks(limits, rates);
  split.mean_bounds_ms = bound_means(rows, feasible.corners, shared);
  if (feasible.bounded) {
    split.clock_link.feasible = !feasible.corners.empty();
  }
  warn_of_causality(rows, feasible, split.warnings);
}

/// Ties the clocks where the link measures one; a shared clock is tied already.
void link_clocks(const std::vector<PressRow>& rows, const session::Log& log, const Timebase& base,
                 const SplitBasis& basis, ClockLink& link) {
  if (basis.kind == ClockLinkKind::kShared) {
    link.clock = LinkedClock{};
  } else if (basis.kind == ClockLinkKind::kLamp) {
    link.clock = link_by_lamp(rows, log, base, *basis.lamp_lag, link.drift);
  } else if (basis.kind == ClockLinkKind::kExchange) {
    std::vector<session::Exchange> exchanges = log.exchanges;
    exchanges.insert(exchanges.end(), basis.exchanges.begin(), basis.exchanges.end());
    link.exchange = link_by_exchange(exchanges, base, link.drift);
    link.clock = link.exchange->clock;
  }
}

void add_shared(Split& split, Portion portion, const SharedError& error) {
  if (error.u_ms > 0) {
    split.shared[portion].push_back(error);
  }
}

SharedError rectangular(const char* source, double half_width_s) {
  return {source, half_width_s / std::sqrt(3.0) * kMsPerSecond, half_width_s * kMsPerSecond};
}

void share_clock_doubts(const Flips& flips, Split& split) {
  if (split.clock_link.clock) {
    const LinkedClock& clock = *split.clock_link.clock;
    const SharedError link = rectangular("clock link", clock.half_width_s);
    const SharedError scatter{"clock link, scatter of its readings",
                              clock.u_offset_s * kMsPerSecond, std::nullopt};
    for (const Portion portion : {Portion::kDelivery, Portion::kScreen, Portion::kDisplay}) {
      add_shared(split, portion, link);
      add_shared(split, portion, scatter);
    }
  }
  const SharedError flip = rectangular("flip", flips.half_width_s);
  for (const Portion portion : {Portion::kRender, Portion::kScreen, Portion::kRemainder}) {
    add_shared(split, portion, flip);
  }
}

/// The lights' reading where the camera keeps step with the refresh.
void share_frame_phase(Split& split) {
  if (split.frame_phase && split.frame_phase->shared_u_s > 0) {
    const SharedError error = rectangular("camera in step with the refresh",
                                          split.frame_phase->shared_u_s * std::sqrt(3.0));
    for (const Portion portion :
         {Portion::kTotal, Portion::kRemainder, Portion::kScreen, Portion::kDisplay}) {
      add_shared(split, portion, error);
    }
  }
}

void check_input(const onset::Timings& timings, const session::Log* log, const SplitBasis& basis) {
  if (timings.presses.empty()) {
    throw Error(
        "the timings hold no press, so there is nothing to split; read the recording anew, "
        "or mark the presses");
  }
  if (log == nullptr && basis.kind != ClockLinkKind::kNone) {
    throw Error(std::string("the clock link '") + name(basis.kind) +
                "' needs the session log; name it with --log");
  }
  if (basis.kind == ClockLinkKind::kLamp && !basis.lamp_lag) {
    throw Error(
        "the clock link 'lamp' needs the range of the lamp's lag; state it (lamp_lag_s in "
        "setup.json, or --lamp-lag)");
  }
}

Pairing pair_all(const onset::Timings& timings, const session::Log* log, const Timebase& base,
                 ClockLinkKind kind) {
  return log == nullptr ? Pairing{}
                        : pair_presses(log->presses, timings.presses, base, limits_of(kind));
}

std::optional<double> refresh_hz(const Flips& flips, const session::Header& header) {
  if (flips.refresh) {
    return 1 / flips.refresh->grid.period_s;
  }
  return header.display.refresh_hz;
}

/// What a split is made of, whichever flips it takes.
struct Evidence {
  const onset::Timings& timings;
  const session::Log* log;
  const SplitBasis& basis;
  const Timebase& base;
  const Pairing& pairing;
};

ClockLink unmeasured_link(const SplitBasis& basis) {
  ClockLink link;
  link.kind = basis.kind;
  link.lamp_lag = basis.lamp_lag;
  link.scan_out_prior = basis.scan_out_prior;
  link.scan_out_share = basis.scan_out_share;
  return link;
}

Split split_at(const Flips& flips, const Evidence& of) {
  const session::Log* log = of.log;
  std::vector<PressRow> rows = merge_rows(of.timings.presses, log, flips, of.pairing, of.base);
  drop_impossible(rows);
  std::vector<PressRow> shown = rows;
  clear_left_out(rows);

  Split split;
  split.warnings = of.timings.warnings;
  split.flip_how = flips.how;
  split.refresh = flips.refresh;
  split.counts = {of.timings.presses.size(), log == nullptr ? 0 : log->presses.size(),
                  of.pairing.pairs.size()};
  split.clock_link = unmeasured_link(of.basis);
  ClockLink& link = split.clock_link;
  link.drift = drift_of_rows(rows);
  if (log != nullptr) {
    link_clocks(rows, *log, of.base, of.basis, link);
    warn_of_log(*log, of.pairing, rows, split.warnings);
  }
  if (link.clock) {
    drop_impossible_across(rows, *link.clock);
    drop_impossible_across(shown, *link.clock);
  }
  warn_of_rows(rows, split.warnings);
  if (log != nullptr) {
    split.variation =
        find_variation(rows, *log, flips.refresh, link.kind == ClockLinkKind::kShared, link.drift);
    split.frame_phase = find_frame_phase(rows, of.timings.recording.clock.rate_hz, flips,
                                         log->header.display, link.drift);
    warn_of_step(*split.variation, split.frame_phase, split.warnings);
  }
  split.shared = shared_errors(of.timings.recording, of.basis.kind);
  share_clock_doubts(flips, split);
  share_frame_phase(split);
  for (const PressRow& row : shown) {
    split.presses.push_back(split_row(row, link.clock ? &*link.clock : nullptr, seen_rate(link)));
  }
  if (of.timings.by_hand) {
    split.repeatability = mark_repeatability(split.presses, rows, *of.timings.by_hand);
  }
  if (link.kind == ClockLinkKind::kCausality && !of.pairing.pairs.empty()) {
    if (link.scan_out_prior) {
      link.scan_out = scan_out_to_patch(log->header, of.timings.recording,
                                        refresh_hz(flips, log->header), link.scan_out_share);
    }
    bound_by_causality(rows, flips, shared_doubts(of.timings.recording), split);
  }
  return split;
}

}  // namespace

Split split_presses(const onset::Timings& found, const session::Log* log, const SplitBasis& basis) {
  check_input(found, log, basis);
  const onset::Timings timings = without_readout_doubt(found);
  const Timebase base = base_of(timings, log, basis.kind);
  const Pairing pairing = pair_all(timings, log, base, basis.kind);
  const Flips flips = log == nullptr ? Flips{} : find_flips(*log);
  const Evidence evidence{timings, log, basis, base, pairing};
  Split split = split_at(flips, evidence);
  if (flips.how == "refresh" && are_flips_too_late(split)) {
    Split by_submit = split_at(submits_as_flips(*log, flips.refresh), evidence);
    if (!are_flips_too_late(by_submit)) {
      split = std::move(by_submit);
      split.warnings.push_back(onset::make_warning(onset::WarningCode::kLightBeforeFlip, ""));
    }
  }
  return split;
}

}  // namespace thumblight::timing
