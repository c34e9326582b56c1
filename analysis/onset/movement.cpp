#include "analysis/onset/movement.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/onset/film_window.hpp"
#include "analysis/onset/quantile.hpp"

namespace thumblight::onset {
namespace {

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

std::vector<std::optional<Stroke>> find_strokes(Film& film, const std::vector<int>& cells,
                                                const std::vector<double>& light_s) {
  const auto all_cells = static_cast<std::size_t>(film.levels->cells());
  std::vector<std::vector<double>> moves;
  std::vector<double> levels;
  std::vector<std::int64_t> firsts;
  for (std::size_t k = 0; k < light_s.size(); ++k) {
    const FilmWindow window = read_window(film, frames_before_light(film, light_s, k));
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
    const FilmWindow window =
        read_window(film, {first, std::min<std::int64_t>(kAtOnce + 1, film.frames() - first)});
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
