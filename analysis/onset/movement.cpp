#include "analysis/onset/movement.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/onset/mains_ripple.hpp"
#include "analysis/onset/quantile.hpp"

namespace thumblight::onset {
namespace {

constexpr double kBefore_s = 0.45;  ///< a stroke is looked for this long before its light
constexpr double kSmooth_s = 0.012;
constexpr double kScanOut_s = 0.012;

/// The frames before one light.
struct Window {
  std::int64_t first = 0;
  std::vector<float> levels;
  std::size_t frames = 0;
};

/// `frames` frames from `first` on, without the mains' flicker.
Window read_window(Film& film, std::int64_t first, std::int64_t frames) {
  Window window;
  window.first = first;
  window.frames = static_cast<std::size_t>(frames);
  if (frames > 0) {
    window.levels = film.levels->read(first, frames);
    const auto from = film.clock.time_s.begin() + first;
    take_out_mains({from, from + frames}, static_cast<std::size_t>(film.levels->cells()),
                   window.levels);
  }
  return window;
}

Window window_before(Film& film, double light_s, double earliest_s) {
  const std::int64_t first = film.first_from(std::max(light_s - kBefore_s, earliest_s));
  return read_window(film, first, std::max(first, film.first_from(light_s) - 1) - first);
}

double earliest_of(const std::vector<double>& light_s, std::size_t k) {
  return k > 0 ? light_s[k - 1] + 0.03 : 0;
}

/// Change of a cell's level over a few frames, at each frame of the window.
std::vector<double> changes(const Window& window, std::size_t cells, std::size_t cell,
                            std::size_t apart) {
  std::vector<double> all;
  for (std::size_t i = apart; i < window.frames; ++i) {
    all.push_back(std::abs(static_cast<double>(window.levels[i * cells + cell] -
                                               window.levels[(i - apart) * cells + cell])));
  }
  return all;
}

std::size_t frames_in(const Film& film, double span_s) {
  return static_cast<std::size_t>(
      std::max(1.0, std::round(span_s / std::max(film.clock.interval_s, 1e-6))));
}

/// How much the region changes from each frame to the next, in linear light.
std::vector<double> activity(const Window& window, std::size_t cells,
                             const std::vector<int>& region) {
  std::vector<double> sums(window.frames, 0);
  for (std::size_t i = 1; i < window.frames; ++i) {
    for (const int cell : region) {
      const std::size_t at = i * cells + static_cast<std::size_t>(cell);
      sums[i] += std::abs(static_cast<double>(window.levels[at] - window.levels[at - cells]));
    }
  }
  return sums;
}

struct Run {
  std::size_t first = 0;
  std::size_t last = 0;
  double sum = 0;
};

/// Stretches of frames that move more than `least`, joined over short pauses.
std::vector<Run> runs_above(const std::vector<double>& moves, double least, std::size_t pause) {
  std::vector<Run> runs;
  for (std::size_t i = 1; i < moves.size(); ++i) {
    if (moves[i] < least) {
      continue;
    }
    if (runs.empty() || i - runs.back().last > pause + 1) {
      runs.push_back({i, i, 0});
    }
    runs.back().last = i;
    runs.back().sum += moves[i] - least;
  }
  return runs;
}

/// The stroke that a run of moving frames is. The change into frame i began after frame i - 1 did
/// and was over when frame i began or ended; and a finger sets off and comes to rest too slowly to
/// be seen at once.
Stroke stroke_of(const Film& film, std::int64_t first, const Run& run) {
  const auto time_of = [&](std::size_t frame) {
    return film.clock.time_s[static_cast<std::size_t>(first) + frame];
  };
  const double from_s = time_of(run.first - 1);
  const double to_s = time_of(run.last) + film.clock.interval_s / 2;
  constexpr double kUnseen = 0.15;
  const double margin_s = kUnseen * (to_s - from_s) + film.clock.interval_s / 2;
  return {from_s - margin_s, to_s + margin_s, to_s - from_s,
          from_s + kContactInStroke * (to_s - from_s)};
}

}  // namespace

std::vector<int> strongest_component(const std::vector<double>& scores, double least,
                                     const recording::GridLayout& layout) {
  std::vector<char> seen(scores.size(), 0);
  std::vector<int> best;
  double best_sum = 0;
  for (int start = 0; start < layout.cells(); ++start) {
    if (seen[start] != 0 || scores[start] < least) {
      continue;
    }
    std::vector<int> cells = {start};
    seen[start] = 1;
    double sum = 0;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      sum += scores[cells[i]];
      const int column = cells[i] % layout.columns;
      const int row = cells[i] / layout.columns;
      for (int y = std::max(0, row - 1); y <= std::min(layout.rows - 1, row + 1); ++y) {
        for (int x = std::max(0, column - 1); x <= std::min(layout.columns - 1, column + 1); ++x) {
          const int other = y * layout.columns + x;
          if (seen[other] == 0 && scores[other] >= least) {
            seen[other] = 1;
            cells.push_back(other);
          }
        }
      }
    }
    if (sum > best_sum) {
      best_sum = sum;
      best = cells;
    }
  }
  return best;
}

std::vector<int> find_moving_cells(Film& film, const std::vector<double>& light_s,
                                   const std::vector<int>& lit) {
  const auto cells = static_cast<std::size_t>(film.levels->cells());
  const std::size_t apart = frames_in(film, kSmooth_s);
  std::vector<std::vector<double>> peaks(cells);
  std::vector<std::vector<double>> quiets(cells);
  constexpr std::size_t kEnough = 40;
  const std::size_t stride = light_s.size() / kEnough + 1;
  for (std::size_t k = 0; k < light_s.size(); k += stride) {
    // The patch's first rows, and what they shine on, are lit before its centre is.
    const Window window = window_before(film, light_s[k] - kScanOut_s, earliest_of(light_s, k));
    for (std::size_t cell = 0; cell < cells && window.frames > 2 * apart; ++cell) {
      const std::vector<double> all = changes(window, cells, cell, apart);
      peaks[cell].push_back(*std::max_element(all.begin(), all.end()));
      quiets[cell].push_back(quantile_of(all, 0.4));
    }
  }
  std::vector<double> scores(cells, 0);
  double most = 0;
  for (std::size_t cell = 0; cell < cells; ++cell) {
    constexpr double kFinestNoise = 3e-4;
    const double peak = quantile_of(peaks[cell], 0.3);  // press after press, not now and then
    const double quiet = std::max(quantile_of(quiets[cell], 0.5), kFinestNoise);
    scores[cell] = peak > 8 * quiet && peak > 0.004 ? peak : 0;
  }
  for (const int cell : lit) {
    scores[static_cast<std::size_t>(cell)] = 0;
  }
  for (const double score : scores) {
    most = std::max(most, score);
  }
  if (most <= 0) {
    return {};
  }
  return strongest_component(scores, 0.3 * most, film.layout);
}

std::vector<std::optional<Stroke>> find_strokes(Film& film, const std::vector<int>& cells,
                                                const std::vector<double>& light_s) {
  const auto all_cells = static_cast<std::size_t>(film.levels->cells());
  std::vector<std::vector<double>> moves;
  std::vector<double> levels;
  std::vector<std::int64_t> firsts;
  for (std::size_t k = 0; k < light_s.size(); ++k) {
    const Window window = window_before(film, light_s[k], earliest_of(light_s, k));
    moves.push_back(activity(window, all_cells, cells));
    firsts.push_back(window.first);
    levels.insert(levels.end(), moves.back().begin(), moves.back().end());
  }
  const double quiet = quantile_of(levels, 0.4);
  const double spread = std::max(quiet - quantile_of(levels, 0.1), 0.05 * quiet);
  std::vector<std::optional<Stroke>> strokes;
  for (std::size_t k = 0; k < light_s.size(); ++k) {
    const double peak = moves[k].empty() ? 0 : *std::max_element(moves[k].begin(), moves[k].end());
    constexpr double kFoot = 0.12;  // of the fastest movement: where a stroke begins and ends
    const double least = std::max(quiet + 5 * spread, kFoot * peak);
    const std::vector<Run> runs = runs_above(moves[k], least, frames_in(film, 0.010));
    double most = 0;
    for (const Run& run : runs) {
      most = std::max(most, run.sum);
    }
    const auto last = std::find_if(runs.rbegin(), runs.rend(),
                                   [most](const Run& run) { return run.sum >= 0.4 * most; });
    if (last == runs.rend()) {
      strokes.emplace_back();
      continue;
    }
    strokes.emplace_back(stroke_of(film, firsts[k], *last));
  }
  return strokes;
}

std::vector<Stroke> find_all_strokes(Film& film, const std::vector<int>& cells) {
  const auto all_cells = static_cast<std::size_t>(film.levels->cells());
  constexpr std::int64_t kAtOnce = 256;
  std::vector<double> moves = {0};
  for (std::int64_t first = 0; first + 1 < film.frames(); first += kAtOnce) {
    const Window window =
        read_window(film, first, std::min<std::int64_t>(kAtOnce + 1, film.frames() - first));
    const std::vector<double> part = activity(window, all_cells, cells);
    moves.insert(moves.end(), part.begin() + 1, part.end());
  }
  const double quiet = quantile_of(moves, 0.4);
  const double spread = std::max(quiet - quantile_of(moves, 0.1), 0.05 * quiet);
  const double peak = quantile_of(moves, 0.99);
  const double least = std::max(quiet + 6 * spread, 0.12 * peak);
  const std::vector<Run> runs = runs_above(moves, least, frames_in(film, 0.010));
  double most = 0;
  for (const Run& run : runs) {
    most = std::max(most, run.sum);
  }
  std::vector<Stroke> strokes;
  for (const Run& run : runs) {
    if (run.sum >= 0.3 * most) {
      strokes.push_back(stroke_of(film, 0, run));
    }
  }
  return strokes;
}

Instant press_of(const Film& film, const Stroke& stroke, double row_s) {
  Instant press;
  press.how = "finger";
  press.from_s = stroke.from_s + row_s;
  press.to_s = stroke.to_s + row_s;
  press.t_s = stroke.contact_s + row_s;
  press.u_s = stroke.seen_s / std::sqrt(12.0);
  press.frame =
      std::clamp<std::int64_t>(film.first_from(stroke.contact_s + 1e-9) - 1, 0, film.frames() - 1);
  return press;
}

SharedDoubt doubt_of_contact(double mean_span_s) {
  return {"finger", "press", mean_span_s / std::sqrt(48.0)};
}

}  // namespace thumblight::onset
