#include "analysis/timing/variation.hpp"

#include <cmath>

#include "analysis/timing/robust_line.hpp"
#include "analysis/timing/timebase.hpp"

namespace thumblight::timing {
namespace {

constexpr std::size_t kFewestForLine = 3;

struct Sequence {
  std::vector<std::size_t> rows;
  std::vector<Point> points;  ///< (recording time, difference across the clocks) in seconds
  std::vector<std::optional<double>> u_s;
};

void add(Sequence& sequence, std::size_t row, double x_s, double y_s,
         const std::optional<double>& u_s) {
  sequence.rows.push_back(row);
  sequence.points.push_back({x_s, y_s});
  sequence.u_s.push_back(u_s);
}

Line least_squares_line(const std::vector<Point>& points) {
  Point mean;
  double n = 0;
  for (const Point& point : points) {
    n += 1;
    mean.x += (point.x - mean.x) / n;
    mean.y += (point.y - mean.y) / n;
  }
  double xx = 0;
  double xy = 0;
  for (const Point& point : points) {
    xx += (point.x - mean.x) * (point.x - mean.x);
    xy += (point.x - mean.x) * (point.y - mean.y);
  }
  const double slope = xx > 0 ? xy / xx : 0;
  return {slope, mean.y - slope * mean.x};
}

/// What the line leaves, less the median of that, in milliseconds.
std::vector<double> values_ms(const Sequence& sequence, bool on_one_clock) {
  if (sequence.points.size() < kFewestForLine) {
    return {};
  }
  const Line line = on_one_clock ? Line{} : least_squares_line(sequence.points);
  std::vector<double> left = residuals(sequence.points, line);
  const double middle = median(left);
  for (double& value : left) {
    value = (value - middle) * kMsPerSecond;
  }
  return left;
}

std::optional<double> rms_ms(const std::vector<std::optional<double>>& u_s) {
  double squares = 0;
  for (const std::optional<double>& u : u_s) {
    if (!u) {
      return std::nullopt;
    }
    squares += *u * *u;
  }
  return u_s.empty() ? std::nullopt
                     : std::optional<double>(std::sqrt(squares / static_cast<double>(u_s.size())) *
                                             kMsPerSecond);
}

void spread_over(const Sequence& sequence, bool on_one_clock,
                 std::optional<double> OffsetFree::*member, std::vector<OffsetFree>& presses) {
  const std::vector<double> values = values_ms(sequence, on_one_clock);
  for (std::size_t k = 0; k < values.size(); ++k) {
    presses[sequence.rows[k]].*member = values[k];
  }
}

std::optional<double> turns_of(const PressRow& row, const RefreshGrid& refresh) {
  if (row.logged == nullptr || !row.logged->submit_ns) {
    return std::nullopt;
  }
  const double submit_s = Timebase{0, refresh.base_ns}.host(*row.logged->submit_ns);
  return refresh.grid.after_nearest_s(submit_s) / refresh.grid.period_s;
}

}  // namespace

Variation find_variation(const std::vector<PressRow>& rows, const session::Log& log,
                         const std::optional<RefreshGrid>& refresh, bool on_one_clock,
                         const std::optional<Drift>& drift) {
  Variation variation;
  variation.presses.resize(rows.size());
  variation.fitted = on_one_clock ? 1 : 2;
  Sequence deliveries;
  Sequence screens;
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const PressRow& row = rows[k];
    if (row.press_s && row.arrival_s) {
      add(deliveries, k, *row.press_s, *row.arrival_s - *row.press_s, row.recorded->press->u_s);
    }
    if (row.light_s && row.flip_s) {
      add(screens, k, *row.light_s, *row.light_s - *row.flip_s, row.recorded->light->u_s);
    }
    if (refresh) {
      variation.presses[k].submit_turns = turns_of(row, *refresh);
    }
  }
  spread_over(deliveries, on_one_clock, &OffsetFree::delivery_ms, variation.presses);
  spread_over(screens, on_one_clock, &OffsetFree::screen_ms, variation.presses);
  variation.press_u_ms = rms_ms(deliveries.u_s);
  variation.light_u_ms = rms_ms(screens.u_s);
  variation.arrivals = find_arrival_grid(log, refresh);
  variation.press_phase = find_press_phase(rows, refresh, on_one_clock, drift);
  return variation;
}

}  // namespace thumblight::timing
