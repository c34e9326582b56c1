#include "analysis/onset/film_window.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/onset/mains_ripple.hpp"

namespace thumblight::onset {

FrameSpan frames_before_light(const Film& film, const std::vector<double>& light_s, std::size_t k,
                              double end_before_s, double earliest_s) {
  constexpr double kBefore_s = 0.45;
  constexpr double kAfterLast_s = 0.03;
  const double end_s = light_s[k] - end_before_s;
  const double last_s = k > 0 ? light_s[k - 1] + kAfterLast_s : 0;
  const std::int64_t first = film.first_from(std::max({end_s - kBefore_s, last_s, earliest_s}));
  return {first, std::max(first, film.first_from(end_s) - 1) - first};
}

FilmWindow read_window(Film& film, const FrameSpan& span) {
  FilmWindow window;
  window.first = span.first;
  window.frames = static_cast<std::size_t>(span.frames);
  if (span.frames > 0) {
    window.levels = film.levels->read(span.first, span.frames);
    const auto from = film.clock.time_s.begin() + span.first;
    take_out_mains({from, from + span.frames}, static_cast<std::size_t>(film.levels->cells()),
                   window.levels);
  }
  return window;
}

std::size_t frames_in(const Film& film, double span_s) {
  return static_cast<std::size_t>(
      std::max(1.0, std::round(span_s / std::max(film.clock.interval_s, 1e-6))));
}

std::vector<double> activity(const FilmWindow& window, std::size_t cells,
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

}  // namespace thumblight::onset
