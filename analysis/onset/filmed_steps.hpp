#pragma once

#include <vector>

#include "analysis/onset/film.hpp"
#include "analysis/onset/step_fit.hpp"
#include "analysis/onset/step_groups.hpp"

namespace thumblight::onset {

/// The steps of one group, cut out of the film and brought to levels from 0 to 1.
struct FilmedGroup {
  std::vector<FilmedStep> steps;
  std::vector<std::size_t> of_up;  ///< index of the group's up that each step belongs to
  std::vector<double> heights;     ///< of each step, linear light
  double centre_x_px = 0;          ///< of the region, in the stored picture
  double centre_y_px = 0;
  double width_px = 0;
  double height_px = 0;
  bool flicker = false;  ///< the mains' flicker was found and taken out
  bool clipped = false;  ///< the bright level sits at the top of the coding's range
};

/// `sloped` keeps the places of the region apart; a lamp is one place.
FilmedGroup film_group(Film& film, const StepGroup& group, bool sloped);

}  // namespace thumblight::onset
