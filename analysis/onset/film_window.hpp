#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "analysis/onset/film.hpp"

/// Some frames of a film in a row, in which movement is looked for.
namespace thumblight::onset {

struct FrameSpan {
  std::int64_t first = 0;
  std::int64_t frames = 0;
};

/// The time before the light `k` in which its press may lie, from `earliest_s` on, up to
/// `end_before_s` before it.
FrameSpan frames_before_light(const Film& film, const std::vector<double>& light_s, std::size_t k,
                              double end_before_s = 0, double earliest_s = 0);

/// The levels of all cells, frame after frame.
struct FilmWindow {
  std::int64_t first = 0;
  std::vector<float> levels;
  std::size_t frames = 0;
};

/// Reads it without the mains' flicker.
FilmWindow read_window(Film& film, const FrameSpan& span);

/// At least one.
std::size_t frames_in(const Film& film, double span_s);

/// How much the region changes from each frame to the next, in linear light.
std::vector<double> activity(const FilmWindow& window, std::size_t cells,
                             const std::vector<int>& region);

}  // namespace thumblight::onset
