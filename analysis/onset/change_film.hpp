#pragma once

#include "analysis/onset/extract.hpp"
#include "analysis/onset/region_film.hpp"
#include "analysis/onset/video_work.hpp"

namespace thumblight::onset {

/// Finds the presses of a film and what each changes on the screen, where no patch flashes. `kept`
/// is the region that the person named, null where none is. Throws `Error` where no press is seen.
void find_change_instants(VideoWork& work, const Request& request, RegionFilm* kept);

}  // namespace thumblight::onset
