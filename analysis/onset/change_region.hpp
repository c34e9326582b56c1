#pragma once

#include <optional>
#include <vector>

#include "analysis/onset/film.hpp"
#include "analysis/onset/find_change.hpp"
#include "analysis/onset/region_film.hpp"

namespace thumblight::onset {

/// A part of the picture in which change is looked for.
struct ChangeRegion {
  ReadLevels levels;
  recording::GridLayout layout;
  double top_px = 0;  ///< of the part, in the stored picture
  Region upright;
};

/// The part that the person named, in its own fine cells. `film` and `kept` must outlive it.
ChangeRegion named_region(const Film& film, RegionFilm& kept);

/// What changes after the presses, press after press, more than it does before them: found among
/// the cells of the whole picture, of which `not_here` (lamp, finger) and their neighbours are left
/// out. Empty where nothing does. `film` must outlive it.
std::optional<ChangeRegion> region_after_presses(Film& film, const std::vector<double>& press_s,
                                                 const std::vector<int>& not_here);

}  // namespace thumblight::onset
