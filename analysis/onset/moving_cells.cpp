#include "analysis/onset/moving_cells.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <numeric>

#include "analysis/onset/film_window.hpp"
#include "analysis/onset/like_times.hpp"
#include "analysis/onset/quantile.hpp"

namespace thumblight::onset {
namespace {

constexpr double kSmooth_s = 0.012;
constexpr double kScanOut_s = 0.012;

/// Change of a cell's level over a few frames, at each frame of the window.
std::vector<double> changes(const FilmWindow& window, std::size_t cells, std::size_t cell,
                            std::size_t apart) {
  std::vector<double> all;
  for (std::size_t i = apart; i < window.frames; ++i) {
    all.push_back(std::abs(static_cast<double>(window.levels[i * cells + cell] -
                                               window.levels[(i - apart) * cells + cell])));
  }
  return all;
}

/// When the patch went dark last before a light, and what it shone on is dark too.
double dark_since_s(const StepGroup& patch, double light_s) {
  constexpr double kSettled_s = 0.03;
  const auto next =
      std::find_if(patch.downs.begin(), patch.downs.end(),
                   [&](const GroupStep& down) { return down.time_s > light_s - kScanOut_s; });
  return next == patch.downs.begin() ? 0 : std::prev(next)->time_s + kSettled_s;
}

/// Where movement is looked for: before the lights (of many, some), but for those so soon after
/// another that nothing could be told. The patch's first rows, and what they shine on, are lit
/// before its centre is.
std::vector<FrameSpan> dark_spans(const Film& film, const std::vector<double>& light_s,
                                  const StepGroup& patch) {
  constexpr std::size_t kEnough = 40;
  const auto least = static_cast<std::int64_t>(2 * frames_in(film, kSmooth_s));
  std::vector<FrameSpan> dark;
  for (std::size_t k = 0; k < light_s.size(); k += light_s.size() / kEnough + 1) {
    const FrameSpan span =
        frames_before_light(film, light_s, k, kScanOut_s, dark_since_s(patch, light_s[k]));
    if (span.frames > least) {
      dark.push_back(span);
    }
  }
  return dark;
}

/// How much each cell changes at once before most lights, and how much it does all the time.
struct CellChanges {
  std::vector<double> peak;
  std::vector<double> quiet;
};

CellChanges changes_in(Film& film, const std::vector<FrameSpan>& dark) {
  const auto cells = static_cast<std::size_t>(film.levels->cells());
  const std::size_t apart = frames_in(film, kSmooth_s);
  std::vector<std::vector<double>> peaks(cells);
  std::vector<std::vector<double>> quiets(cells);
  for (const FrameSpan& span : dark) {
    const FilmWindow window = read_window(film, span);
    for (std::size_t cell = 0; cell < cells; ++cell) {
      const std::vector<double> all = changes(window, cells, cell, apart);
      peaks[cell].push_back(*std::max_element(all.begin(), all.end()));
      quiets[cell].push_back(quantile_of(all, 0.4));
    }
  }
  CellChanges found;
  for (std::size_t cell = 0; cell < cells; ++cell) {
    found.peak.push_back(quantile_of(peaks[cell], 0.5));
    found.quiet.push_back(quantile_of(quiets[cell], 0.5));
  }
  return found;
}

/// The changes that are more than a cell's noise; 0 for the others.
std::vector<double> movement_scores(const CellChanges& changes) {
  constexpr double kFinestNoise = 3e-4;
  constexpr double kSeen = 8;
  std::vector<double> scores;
  for (std::size_t cell = 0; cell < changes.peak.size(); ++cell) {
    const double noise = std::max(changes.quiet[cell], kFinestNoise);
    scores.push_back(changes.peak[cell] > kSeen * noise ? changes.peak[cell] : 0);
  }
  return scores;
}

/// When the region moves most, in seconds before the end of the window.
double most_moved_before_s(const Film& film, const FilmWindow& window,
                           const std::vector<int>& region) {
  const std::size_t apart = frames_in(film, kSmooth_s);
  std::vector<double> moved =
      activity(window, static_cast<std::size_t>(film.levels->cells()), region);
  std::partial_sum(moved.begin(), moved.end(), moved.begin());
  std::size_t most = apart;
  for (std::size_t i = apart; i < moved.size(); ++i) {
    most = moved[i] - moved[i - apart] > moved[most] - moved[most - apart] ? i : most;
  }
  return static_cast<double>(window.frames - most) * film.clock.interval_s;
}

/// Whether the region moves most a like time before the lights, more often than chance would have
/// it: a coder's redrawing, and what else moves in the picture, knows nothing of them.
bool goes_before_lights(Film& film, const std::vector<FrameSpan>& dark,
                        const std::vector<int>& region) {
  constexpr double kLike_s = 0.04;
  std::vector<double> before_s;
  double by_chance = 0;
  for (const FrameSpan& span : dark) {
    const FilmWindow window = read_window(film, span);
    before_s.push_back(most_moved_before_s(film, window, region));
    const double span_s = static_cast<double>(window.frames) * film.clock.interval_s;
    by_chance += std::min(1.0, 2 * kLike_s / span_s);
  }
  return are_alike(before_s, kLike_s, by_chance / static_cast<double>(dark.size()));
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

void leave_out_around(const std::vector<int>& cells, const recording::GridLayout& layout,
                      std::vector<double>& scores) {
  for (const int cell : cells) {
    const int column = cell % layout.columns;
    const int row = cell / layout.columns;
    for (int y = std::max(0, row - 2); y <= std::min(layout.rows - 1, row + 2); ++y) {
      for (int x = std::max(0, column - 2); x <= std::min(layout.columns - 1, column + 2); ++x) {
        const int other = y * layout.columns + x;
        scores[static_cast<std::size_t>(other)] = 0;
      }
    }
  }
}

std::vector<int> find_moving_cells(Film& film, const std::vector<double>& light_s,
                                   const StepGroup& patch, const std::vector<int>& lamp) {
  const std::vector<FrameSpan> dark = dark_spans(film, light_s, patch);
  if (dark.empty()) {
    return {};
  }
  const CellChanges changes = changes_in(film, dark);
  std::vector<double> scores = movement_scores(changes);
  for (const int cell : patch.cells) {
    scores[static_cast<std::size_t>(cell)] = 0;
  }
  leave_out_around(lamp, film.layout, scores);
  constexpr double kStandsOut = 4;
  const double usual = quantile_of(changes.peak, 0.9);
  constexpr int kTries = 4;
  for (int k = 0; k < kTries; ++k) {
    const double most = *std::max_element(scores.begin(), scores.end());
    if (most <= 0) {
      break;
    }
    std::vector<int> cells = strongest_component(scores, 0.3 * most, film.layout);
    if (dark.size() < kFewestLikeTimes ? most > kStandsOut * usual
                                       : goes_before_lights(film, dark, cells)) {
      return cells;
    }
    for (const int cell : cells) {
      scores[static_cast<std::size_t>(cell)] = 0;
    }
  }
  return {};
}

}  // namespace thumblight::onset
