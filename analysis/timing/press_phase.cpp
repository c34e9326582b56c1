#include "analysis/timing/press_phase.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace thumblight::timing {
namespace {

constexpr std::size_t kFewestPresses = 10;
constexpr double kLargestDoubt = 0.1;
constexpr double kLargestPressDoubt = 0.2;

struct SeenPresses {
  std::vector<double> at_s;
  std::optional<double> u_s = 0;  ///< root mean square; empty where one states none
};

SeenPresses seen_presses(const std::vector<PressRow>& rows) {
  SeenPresses seen;
  double squares = 0;
  for (const PressRow& row : rows) {
    if (!row.press_s) {
      continue;
    }
    seen.at_s.push_back(*row.press_s);
    const std::optional<double> u_s = row.recorded->press->u_s;
    squares += u_s.value_or(0) * u_s.value_or(0);
    if (!u_s) {
      seen.u_s.reset();
    }
  }
  if (seen.u_s && !seen.at_s.empty()) {
    seen.u_s = std::sqrt(squares / static_cast<double>(seen.at_s.size()));
  }
  return seen;
}

double closeness_of(const std::vector<double>& times_s, double rate, double period_s) {
  std::complex<double> sum = 0;
  for (const double t_s : times_s) {
    const double turns = (t_s - times_s.front()) * (1 + rate) / period_s;
    sum += std::polar(1.0, 2 * std::numbers::pi * (turns - std::floor(turns)));
  }
  return std::abs(sum) / static_cast<double>(times_s.size());
}

}  // namespace

double rayleigh_chance(std::size_t n, double closeness) {
  const auto count = static_cast<double>(n);
  const double length = count * closeness;
  return std::exp(std::sqrt(1 + 4 * count + 4 * (count * count - length * length)) -
                  (1 + 2 * count));
}

std::optional<PressPhase> find_press_phase(const std::vector<PressRow>& rows,
                                           const std::optional<RefreshGrid>& refresh,
                                           bool on_one_clock, const std::optional<Drift>& drift) {
  const SeenPresses seen = seen_presses(rows);
  if (seen.at_s.size() < kFewestPresses || !refresh || !seen.u_s || (!on_one_clock && !drift)) {
    return std::nullopt;
  }
  const auto [first, last] = std::minmax_element(seen.at_s.begin(), seen.at_s.end());
  const double period_s = refresh->grid.period_s;
  const double u_rate =
      std::hypot(on_one_clock ? 0 : drift->u_ppm * 1e-6, refresh->grid.u_period_s / period_s);
  if (u_rate * (*last - *first) > kLargestDoubt * period_s ||
      *seen.u_s > kLargestPressDoubt * period_s) {
    return std::nullopt;
  }
  PressPhase phase;
  phase.n = seen.at_s.size();
  phase.closeness = closeness_of(seen.at_s, on_one_clock ? 0 : drift->rate_ppm * 1e-6, period_s);
  phase.chance = rayleigh_chance(phase.n, phase.closeness);
  return phase;
}

}  // namespace thumblight::timing
