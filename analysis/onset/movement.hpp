#pragma once

#include <optional>
#include <vector>

#include "analysis/onset/film.hpp"
#include "analysis/onset/timings.hpp"

namespace thumblight::onset {

/// A finger's stroke: the contact closes between its first movement and the end of its travel.
struct Stroke {
  double from_s = 0;     ///< earliest and ...
  double to_s = 0;       ///< ... latest bound: a slow setting off and coming to rest are not seen
  double seen_s = 0;     ///< length of the movement that was seen
  double contact_s = 0;  ///< best guess
};

/// The last stroke before each light, on the time line of the frames' first row.
std::vector<std::optional<Stroke>> find_strokes(Film& film, const std::vector<int>& cells,
                                                const std::vector<double>& light_s);

/// Every stroke of the film, presses and releases alike.
std::vector<Stroke> find_all_strokes(Film& film, const std::vector<int>& cells);

/// The press that a stroke is; `row_s` is how much later its row is exposed than the first.
Instant press_of(const Film& film, const Stroke& stroke, double row_s);

/// Where in its travel the switch closes is the same press after press, and not known.
SharedDoubt doubt_of_contact(double mean_span_s);

/// Where in a stroke the contact is taken to close. Switches close in the second half of their
/// travel (common practice, no source), so the middle of that half is taken.
inline constexpr double kContactInStroke = 0.75;

}  // namespace thumblight::onset
