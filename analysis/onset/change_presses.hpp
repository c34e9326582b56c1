#pragma once

#include <string>
#include <vector>

#include "analysis/onset/extract.hpp"
#include "analysis/onset/video_work.hpp"

namespace thumblight::onset {

/// Presses that were found without knowing what followed them.
struct PressesSeen {
  std::vector<Instant> presses;
  std::string from;        ///< lamp, finger or sound
  std::vector<int> cells;  ///< of the picture in which they were seen
  double y_px = 0;         ///< where, in the stored picture
  double exposure_s = 0;   ///< as the lamp tells it; 0 where it does not
  double exposure_u_s = 0;
  std::vector<SharedDoubt> shared;
  std::vector<Warning> warnings;
};

/// Every way in which presses may be seen, the best first: each lamp, then the finger where its
/// region is named, then the sound. Groups of cells in `elsewhere` are no lamps.
std::vector<PressesSeen> see_presses(VideoWork& work, const Request& request,
                                     const std::vector<int>& elsewhere);

}  // namespace thumblight::onset
