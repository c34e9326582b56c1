#include "analysis/timing/arrival_grid.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "analysis/timing/timebase.hpp"

namespace thumblight::timing {
namespace {

using Turn = std::complex<double>;

constexpr std::size_t kFewestArrivals = 12;
/// So many of the first arrivals fix the period; the rest follow.
constexpr std::size_t kMostSought = 32;
constexpr double kLongestSought_s = 120;
constexpr double kTrialsPerTurn = 3;
constexpr double kMostChance = 1e-3;
constexpr double kCoarsest_s = 0.050;

struct Found {
  double frequency_hz = 0;
  double closeness = 0;
};

Turn turn_of(double turns) {
  return std::polar(1.0, 2 * std::numbers::pi * (turns - std::floor(turns)));
}

/// The frequency, from `low_hz` in so many steps, to which the events keep most closely. Each event
/// is turned on by one product a step, since a sine and a cosine for each take ten times as long.
Found best_of(const std::vector<double>& events_s, double low_hz, double step_hz,
              std::size_t steps) {
  std::vector<Turn> turns;
  std::vector<Turn> onward;
  for (const double event_s : events_s) {
    turns.push_back(turn_of((event_s - events_s.front()) * low_hz));
    onward.push_back(turn_of((event_s - events_s.front()) * step_hz));
  }
  Found best;
  double best_square = 0;
  for (std::size_t step = 0; step <= steps; ++step) {
    double x = 0;
    double y = 0;
    for (std::size_t k = 0; k < turns.size(); ++k) {
      const double re = turns[k].real();
      const double im = turns[k].imag();
      x += re;
      y += im;
      turns[k] = {re * onward[k].real() - im * onward[k].imag(),
                  re * onward[k].imag() + im * onward[k].real()};
    }
    if (x * x + y * y > best_square) {
      best_square = x * x + y * y;
      best.frequency_hz = low_hz + static_cast<double>(step) * step_hz;
    }
  }
  best.closeness = std::sqrt(best_square) / static_cast<double>(events_s.size());
  return best;
}

Found best_near(const std::vector<double>& events_s, double frequency_hz, double reach_hz) {
  constexpr std::size_t kSteps = 64;
  return best_of(events_s, frequency_hz - reach_hz, 2 * reach_hz / kSteps, kSteps);
}

/// The lowest frequency of which `fine` is a multiple and to which the events keep as well.
Found coarsest(const std::vector<double>& events_s, const Found& fine, double reach_hz) {
  constexpr double kAsWell = 0.03;
  Found coarse = fine;
  for (double k = 2; fine.frequency_hz / k >= 1 / kCoarsest_s; k += 1) {
    const Found found = best_near(events_s, fine.frequency_hz / k, reach_hz / k);
    if (found.closeness >= fine.closeness - kAsWell) {
      coarse = found;
    }
  }
  return coarse;
}

std::vector<double> first_few(const std::vector<double>& events_s) {
  std::vector<double> few;
  for (const double event_s : events_s) {
    if (few.size() < kMostSought && event_s - events_s.front() <= kLongestSought_s) {
      few.push_back(event_s);
    }
  }
  return few;
}

bool is_near(double value, double whole, double doubt) {
  return std::abs(value - whole) <= doubt * whole;
}

bool is_refresh(const PhaseGrid& grid, const session::Display& display,
                const std::optional<RefreshGrid>& refresh) {
  double period_s = 0;
  double doubt = 0;
  if (refresh) {
    period_s = refresh->grid.period_s;
    doubt = 1e-4 + 5 * (refresh->grid.u_period_s + grid.u_period_s) / period_s;
  } else if (display.refresh_hz && *display.refresh_hz > 0) {
    period_s = 1 / *display.refresh_hz;
    doubt = 0.01;
  }
  return period_s > 0 &&
         (is_near(grid.period_s, period_s, doubt) || is_near(grid.period_s, 2 * period_s, doubt));
}

bool is_clock_step(const PhaseGrid& grid, const std::vector<double>& submits_s) {
  constexpr double kExact_s = 2e-6;
  return !submits_s.empty() && grid.sd_s < kExact_s &&
         std::all_of(submits_s.begin(), submits_s.end(), [&](double submit_s) {
           return std::abs(grid.after_nearest_s(submit_s)) < kExact_s;
         });
}

}  // namespace

std::optional<PhaseGrid> find_fine_grid(const std::vector<double>& events_s) {
  const std::vector<double> few = first_few(events_s);
  if (few.size() < kFewestArrivals || few.back() <= few.front()) {
    return std::nullopt;
  }
  const double span_s = few.back() - few.front();
  const double low_hz = 1 / kPollingPeriods.high_s;
  const double width_hz = 1 / kPollingPeriods.low_s - low_hz;
  const double steps = std::ceil(span_s * width_hz * kTrialsPerTurn) + 1;
  const double step_hz = width_hz / steps;
  const Found rough = best_of(few, low_hz, step_hz, static_cast<std::size_t>(steps));
  const Found fine = best_near(few, rough.frequency_hz, step_hz);
  const double chance =
      steps * std::exp(-static_cast<double>(few.size()) * fine.closeness * fine.closeness);
  if (chance > kMostChance) {
    return std::nullopt;
  }
  const Found coarse = coarsest(few, fine, step_hz);
  const double reach_hz = 1 / span_s;
  std::optional<PhaseGrid> grid = find_grid(
      events_s, {1 / (coarse.frequency_hz + reach_hz), 1 / (coarse.frequency_hz - reach_hz)});
  if (grid) {
    grid->chance = chance;
  }
  return grid;
}

std::optional<ArrivalGrid> find_arrival_grid(const session::Log& log,
                                             const std::optional<RefreshGrid>& refresh) {
  if (log.presses.empty()) {
    return std::nullopt;
  }
  const Timebase base{0, log.presses.front().arrival_ns};
  std::vector<double> arrivals_s;
  std::vector<double> submits_s;
  for (const session::Press& press : log.presses) {
    arrivals_s.push_back(base.host(press.arrival_ns));
    if (press.submit_ns) {
      submits_s.push_back(base.host(*press.submit_ns));
    }
  }
  const std::optional<PhaseGrid> grid = find_fine_grid(arrivals_s);
  if (!grid) {
    return std::nullopt;
  }
  ArrivalGrid found{*grid, GridMaker::kInput};
  if (is_clock_step(*grid, submits_s)) {
    found.maker = GridMaker::kClock;
  } else if (is_refresh(*grid, log.header.display, refresh)) {
    found.maker = GridMaker::kRefresh;
  }
  return found;
}

}  // namespace thumblight::timing
