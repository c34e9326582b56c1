#include "analysis/timing/phase_grid.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace thumblight::timing {
namespace {

constexpr std::size_t kFewestEvents = 8;
constexpr std::size_t kMostSought = 128;
constexpr double kMostTrials = 60'000;
constexpr double kMostChance = 1e-6;
/// Trial periods lie so close that between two of them the phases at the ends shift by a quarter of
/// a turn.
constexpr double kTrialsPerTurn = 4;

std::complex<double> mean_vector(const std::vector<double>& events_s, std::size_t n,
                                 double frequency_hz) {
  std::complex<double> sum = 0;
  for (std::size_t k = 0; k < n; ++k) {
    const double turns = (events_s[k] - events_s[0]) * frequency_hz;
    const double angle = 2 * std::numbers::pi * (turns - std::floor(turns));
    sum += std::complex<double>(std::cos(angle), std::sin(angle));
  }
  return sum / static_cast<double>(n);
}

struct Sought {
  std::size_t n = 0;
  double trials = 0;
  double frequency_hz = 0;
  double closeness = 0;
};

double trials_of(const std::vector<double>& events_s, std::size_t n, double width_hz) {
  return std::max((events_s[n - 1] - events_s[0]) * width_hz * kTrialsPerTurn, 1.0);
}

void try_frequencies(const std::vector<double>& events_s, double from_hz, double step_hz,
                     std::size_t steps, Sought& best) {
  for (std::size_t k = 0; k <= steps; ++k) {
    const double frequency_hz = from_hz + static_cast<double>(k) * step_hz;
    const double closeness = std::abs(mean_vector(events_s, best.n, frequency_hz));
    if (closeness > best.closeness) {
      best.closeness = closeness;
      best.frequency_hz = frequency_hz;
    }
  }
}

Sought seek(const std::vector<double>& events_s, const PeriodRange& range) {
  const double low_hz = 1 / range.high_s;
  const double width_hz = 1 / range.low_s - low_hz;
  Sought best;
  best.n = std::min(events_s.size(), kMostSought);
  while (best.n > kFewestEvents && trials_of(events_s, best.n, width_hz) > kMostTrials) {
    --best.n;
  }
  best.trials = std::min(trials_of(events_s, best.n, width_hz), 2 * kMostTrials);
  const auto steps = static_cast<std::size_t>(std::ceil(best.trials));
  const double step_hz = width_hz / static_cast<double>(steps);
  try_frequencies(events_s, low_hz, step_hz, steps, best);
  constexpr std::size_t kFiner = 32;
  try_frequencies(events_s, best.frequency_hz - step_hz, 2 * step_hz / kFiner, kFiner, best);
  return best;
}

/// Events with the cycle that each belongs to.
struct Followed {
  std::vector<Point> points;  ///< (cycle * period, event - cycle * period)
};

/// Follows the grid from event to event; each corrects phase and period a little.
Followed follow(const std::vector<double>& events_s, double period_s, double first_phase_s) {
  constexpr double kPhaseGain = 0.1;
  Followed followed;
  followed.points.reserve(events_s.size());
  double phase_s = first_phase_s;
  for (const double event_s : events_s) {
    const double cycle = std::round((event_s - phase_s) / period_s);
    const double off_s = event_s - phase_s - cycle * period_s;
    followed.points.push_back({cycle * period_s, event_s - cycle * period_s});
    phase_s += kPhaseGain * off_s;
  }
  return followed;
}

/// The straight line about which events from a few turns' wrap cannot pull: least squares.
Line line_through(const std::vector<Point>& points, std::size_t n) {
  Point mean;
  for (std::size_t k = 0; k < n; ++k) {
    mean.x += (points[k].x - mean.x) / static_cast<double>(k + 1);
    mean.y += (points[k].y - mean.y) / static_cast<double>(k + 1);
  }
  double xx = 0;
  double xy = 0;
  for (std::size_t k = 0; k < n; ++k) {
    xx += (points[k].x - mean.x) * (points[k].x - mean.x);
    xy += (points[k].x - mean.x) * (points[k].y - mean.y);
  }
  Line line;
  line.slope = xx > 0 ? xy / xx : 0;
  line.intercept = mean.y - line.slope * mean.x;
  return line;
}

double first_phase_s(const std::vector<double>& events_s, const Sought& sought) {
  const double turn =
      std::arg(mean_vector(events_s, sought.n, sought.frequency_hz)) / (2 * std::numbers::pi);
  return events_s[0] + turn / sought.frequency_hz;
}

/// The period made better by ever longer stretches: a stretch is followed without losing count as
/// long as the one before it, half as long, fixed the period well enough.
double longer_and_longer(const std::vector<double>& events_s, const Sought& sought) {
  double period_s = 1 / sought.frequency_hz;
  const double start_s = first_phase_s(events_s, sought);
  for (std::size_t n = sought.n;; n = std::min(2 * n, events_s.size())) {
    const std::vector<double> stretch(events_s.begin(),
                                      events_s.begin() + static_cast<std::ptrdiff_t>(n));
    period_s *= 1 + line_through(follow(stretch, period_s, start_s).points, n).slope;
    if (n == events_s.size()) {
      return period_s;
    }
  }
}

double closeness_of(const std::vector<double>& left_s, double period_s) {
  std::complex<double> sum = 0;
  for (const double left : left_s) {
    const double angle = 2 * std::numbers::pi * left / period_s;
    sum += std::complex<double>(std::cos(angle), std::sin(angle));
  }
  return std::abs(sum) / static_cast<double>(left_s.size());
}

double spread_of_x(const std::vector<Point>& points) {
  double mean = 0;
  double squares = 0;
  double n = 0;
  for (const Point& point : points) {
    n += 1;
    const double before = point.x - mean;
    mean += before / n;
    squares += before * (point.x - mean);
  }
  return std::sqrt(squares);
}

}  // namespace

double PhaseGrid::cycle_from(double t_s) const {
  double cycle = std::ceil((t_s - phase.at(t_s)) / period_s);
  while (instant_s(cycle) < t_s) {
    cycle += 1;
  }
  while (instant_s(cycle - 1) >= t_s) {
    cycle -= 1;
  }
  return cycle;
}

double PhaseGrid::after_nearest_s(double t_s) const {
  const double left_s = t_s - phase.at(t_s);
  return left_s - period_s * std::round(left_s / period_s);
}

std::optional<PhaseGrid> find_grid(const std::vector<double>& events_s, const PeriodRange& range) {
  if (events_s.size() < kFewestEvents || !(range.low_s > 0) || !(range.high_s > range.low_s)) {
    return std::nullopt;
  }
  const Sought sought = seek(events_s, range);
  const auto n = static_cast<double>(sought.n);
  // Rayleigh's probability exp(-n R^2), for every trial anew.
  const double chance =
      std::min(1.0, sought.trials * std::exp(-n * sought.closeness * sought.closeness));
  if (chance > kMostChance) {
    return std::nullopt;
  }
  PhaseGrid grid;
  grid.period_s = longer_and_longer(events_s, sought);
  grid.chance = chance;
  grid.n = events_s.size();
  const Followed followed = follow(events_s, grid.period_s, first_phase_s(events_s, sought));
  constexpr double kSteepest = 1e-4;
  grid.phase = Trend(followed.points, kSteepest);
  std::vector<double> left_s;
  left_s.reserve(followed.points.size());
  for (const Point& point : followed.points) {
    left_s.push_back(point.y - grid.phase.at(point.x));
  }
  grid.sd_s = robust_sd(left_s);
  grid.closeness = closeness_of(left_s, grid.period_s);
  const double spread_s = spread_of_x(followed.points);
  grid.u_period_s = spread_s > 0 ? grid.period_s * grid.sd_s / spread_s : grid.period_s;
  return grid;
}

}  // namespace thumblight::timing
