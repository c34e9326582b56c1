#include "analysis/timing/flip.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/timing/timebase.hpp"

namespace thumblight::timing {
namespace {

/// A present returned with a refresh if it did within this share of a refresh of the usual time.
constexpr double kNear = 0.05;

/// How far a stated refresh rate may be off, as a share.
constexpr double kRateDoubt = 0.01;

std::optional<double> stated_period_s(const session::Display& display) {
  if (display.refresh_hz && *display.refresh_hz > 0) {
    return 1 / *display.refresh_hz;
  }
  if (display.measured_interval && display.measured_interval->median_ns > 0) {
    return static_cast<double>(display.measured_interval->median_ns) * 1e-9;
  }
  return std::nullopt;
}

/// Every present's return, in order.
std::vector<double> returns_of(const session::Log& log, const Timebase& base) {
  std::vector<double> returns_s;
  for (const session::Press& press : log.presses) {
    if (press.present_ns) {
      returns_s.push_back(base.host(*press.present_ns));
    }
  }
  for (const session::Dark& dark : log.darks) {
    returns_s.push_back(base.host(dark.present_ns));
  }
  std::sort(returns_s.begin(), returns_s.end());
  return returns_s;
}

double sorted_share(const std::vector<double>& sorted, double share) {
  return sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
}

std::optional<RefreshGrid> refresh_of(const session::Log& log, const Timebase& base) {
  const std::optional<double> period_s = stated_period_s(log.header.display);
  if (!period_s) {
    return std::nullopt;
  }
  const std::vector<double> returns_s = returns_of(log, base);
  const std::optional<PhaseGrid> grid =
      find_grid(returns_s, {*period_s * (1 - kRateDoubt), *period_s * (1 + kRateDoubt)});
  if (!grid) {
    return std::nullopt;
  }
  std::vector<double> after_s;
  after_s.reserve(returns_s.size());
  for (const double t_s : returns_s) {
    after_s.push_back(grid->after_nearest_s(t_s));
  }
  std::sort(after_s.begin(), after_s.end());
  // Nine tenths of them, from which a few strays are shut out, drawn out to the whole.
  constexpr double kOut = 0.05;
  const double low_s = sorted_share(after_s, kOut);
  const double spread_s = (sorted_share(after_s, 1 - kOut) - low_s) / (1 - 2 * kOut);
  return RefreshGrid{*grid, base.host_ns, low_s - kOut * spread_s, spread_s};
}

/// The flip of one frame, in seconds after the base.
double flip_of(const RefreshGrid& refresh, double submit_s, double present_s) {
  const auto instant_s = [&](double cycle) {
    return refresh.grid.instant_s(cycle) + refresh.first_after_s;
  };
  const double cycle = refresh.grid.cycle_from(submit_s - refresh.first_after_s);
  // A present returns some time after its refresh, so the refresh lies before the grid, nobody
  // knows how far: a submit just before the grid may have missed it. Its present then returns with
  // the next.
  const double next_s = instant_s(cycle + 1);
  if (std::abs(present_s - next_s) <
      std::max(2 * refresh.spread_s, kNear * refresh.grid.period_s)) {
    return next_s;
  }
  // And a submit just after the grid, as it is known, may have met it.
  const double before_s = instant_s(cycle - 1);
  if (submit_s - before_s < refresh.spread_s &&
      std::abs(present_s - before_s) < 2 * refresh.spread_s) {
    return before_s;
  }
  return instant_s(cycle);
}

bool is_locked(const session::Log& log, const std::optional<RefreshGrid>& refresh) {
  return log.header.display.vsync && refresh && refresh->grid.closeness >= kLocked;
}

}  // namespace

Flips find_flips(const session::Log& log) {
  const Timebase base{0, log.presses.empty() ? 0 : log.presses.front().arrival_ns};
  Flips flips = submits_as_flips(log, refresh_of(log, base));
  if (!is_locked(log, flips.refresh)) {
    return flips;
  }
  flips.how = "refresh";
  flips.half_width_s = flips.refresh->spread_s / 2;
  for (std::size_t k = 0; k < log.presses.size(); ++k) {
    std::optional<std::int64_t>& at_ns = flips.at_ns[k];
    if (at_ns) {
      const double present_s = base.host(log.presses[k].present_ns.value_or(*at_ns));
      const double submit_s = base.host(*at_ns);
      const double wait_s =
          flip_of(*flips.refresh, submit_s, present_s) - flips.half_width_s - submit_s;
      *at_ns += std::llround(std::max(wait_s, 0.0) * 1e9);
    }
  }
  return flips;
}

Flips submits_as_flips(const session::Log& log, std::optional<RefreshGrid> refresh) {
  Flips flips{"submit", {}, 0, std::move(refresh)};
  flips.at_ns.reserve(log.presses.size());
  for (const session::Press& press : log.presses) {
    flips.at_ns.push_back(press.flashed ? press.submit_ns : std::nullopt);
  }
  return flips;
}

}  // namespace thumblight::timing
