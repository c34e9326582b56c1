#include "analysis/recording/frame_clock.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>

#include "harness/session/error.hpp"

namespace thumblight::recording {
namespace {

std::string rate_text(double hz) {
  std::string text(32, '\0');
  const int length = std::snprintf(text.data(), text.size(), "%.6g", hz);
  text.resize(static_cast<std::size_t>(length));
  return text;
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>((values.size() - 1) / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

std::vector<double> gaps(const std::vector<double>& times) {
  std::vector<double> all;
  for (std::size_t i = 1; i < times.size(); ++i) {
    all.push_back(times[i] - times[i - 1]);
  }
  return all;
}

/// Stamps that go back or stand still are moved half a tick past the one before.
std::vector<double> rising_seconds(const std::vector<std::int64_t>& stamps, TimeBase base,
                                   std::int64_t& odd) {
  const double tick = static_cast<double>(base.num) / static_cast<double>(base.den);
  std::vector<double> times;
  times.reserve(stamps.size());
  for (const std::int64_t stamp : stamps) {
    double time = static_cast<double>(stamp) * tick;
    if (!times.empty() && time <= times.back()) {
      ++odd;
      time = times.back() + tick / 2;
    }
    times.push_back(time);
  }
  return times;
}

/// Counts of grid steps from the first frame, for gaps near whole multiples of `interval`.
std::vector<double> grid_indices(const std::vector<double>& times, double interval) {
  std::vector<double> indices = {0};
  for (std::size_t i = 1; i < times.size(); ++i) {
    const double steps = std::max(1.0, std::round((times[i] - times[i - 1]) / interval));
    indices.push_back(indices.back() + steps);
  }
  return indices;
}

struct Line {
  double start = 0;
  double slope = 0;
  double worst = 0;  ///< greatest distance of a point from the line
};

Line fit_line(const std::vector<double>& x, const std::vector<double>& y) {
  const auto n = static_cast<double>(x.size());
  double mean_x = 0;
  double mean_y = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    mean_x += x[i] / n;
    mean_y += y[i] / n;
  }
  double xx = 0;
  double xy = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mean_x) * (x[i] - mean_x);
    xy += (x[i] - mean_x) * (y[i] - mean_y);
  }
  Line line;
  line.slope = xy / xx;
  line.start = mean_y - line.slope * mean_x;
  for (std::size_t i = 0; i < x.size(); ++i) {
    line.worst = std::max(line.worst, std::abs(y[i] - line.start - line.slope * x[i]));
  }
  return line;
}

/// Where the stamps are an even grid rounded to ticks, the grid itself is truer than the ticks.
void undo_rounding(FrameClock& clock, double tick_s) {
  const double coarse = median(gaps(clock.time_s));
  // The median of rounded gaps may be a tick off; the mean over ordinary gaps is not.
  double sum = 0;
  double count = 0;
  for (const double gap : gaps(clock.time_s)) {
    if (std::abs(gap - coarse) < 0.3 * coarse + tick_s) {
      sum += gap;
      count += 1;
    }
  }
  const std::vector<double> indices = grid_indices(clock.time_s, count > 0 ? sum / count : coarse);
  const Line line = fit_line(indices, clock.time_s);
  clock.interval_s = line.slope;
  clock.dropped = std::llround(indices.back()) - static_cast<std::int64_t>(indices.size()) + 1;
  clock.steady = line.worst < std::max(0.75 * tick_s, 0.02 * line.slope);
  if (!clock.steady) {
    clock.interval_s = coarse;
    return;
  }
  if (line.worst > 0.75 * tick_s) {
    return;  // real jitter, larger than rounding: the stamps know better
  }
  for (std::size_t i = 0; i < indices.size(); ++i) {
    clock.time_s[i] = line.start + line.slope * indices[i];
  }
}

void scale(FrameClock& clock, double slowdown) {
  clock.slowdown = slowdown;
  for (double& time : clock.time_s) {
    time /= slowdown;
  }
  clock.interval_s /= slowdown;
  clock.rounding_s /= slowdown;
}

/// Decides between the stamps as they are and a capture rate.
void choose_scale(FrameClock& clock, const VideoInfo& info, std::optional<double> stated_hz) {
  const std::optional<double> capture = stated_hz ? stated_hz : info.capture_hz;
  const std::string who =
      stated_hz ? "stated" : "in the file's metadata (" + info.capture_key + ")";
  const double stamped_hz = 1 / clock.interval_s;
  clock.source = "stamps";
  clock.nominal_hz = info.marked_hz;
  if (!capture) {
    clock.why = "the stamps give " + rate_text(stamped_hz) +
                " frames a second and nothing says that the file was slowed down";
    return;
  }
  clock.nominal_hz = capture;
  const double slowdown = *capture / stamped_hz;
  if (info.has_stamps && std::abs(slowdown - 1) < 0.02) {
    clock.why = "the stamps agree with the capture rate of " + rate_text(*capture) + " " + who;
    return;
  }
  clock.source = "capture-rate";
  clock.why = info.has_stamps ? "the stamps give " + rate_text(stamped_hz) +
                                    " frames a second, but the capture rate " + who + " is " +
                                    rate_text(*capture)
                              : "images bear no stamps; their times follow from the capture rate";
  scale(clock, slowdown);
}

}  // namespace

FrameClock make_frame_clock(const VideoInfo& info, const std::vector<std::int64_t>& stamps,
                            std::int64_t unstamped, std::optional<double> capture_hz) {
  if (stamps.size() < 2) {
    throw Error(info.file + ": it holds " + std::to_string(stamps.size()) +
                " frame, too few to measure time; give the whole recording");
  }
  if (!info.has_stamps && !capture_hz) {
    throw Error(info.file +
                ": images bear no times; state the capture rate (capture_rate_hz in setup.json)");
  }
  FrameClock clock;
  clock.odd_stamps = unstamped;
  clock.time_s = rising_seconds(stamps, info.time_base, clock.odd_stamps);
  clock.start_s = clock.time_s.front();
  clock.rounding_s =
      static_cast<double>(info.time_base.num) / static_cast<double>(info.time_base.den);
  undo_rounding(clock, info.has_stamps ? clock.rounding_s : 0.01);
  choose_scale(clock, info, capture_hz);
  return clock;
}

}  // namespace thumblight::recording
