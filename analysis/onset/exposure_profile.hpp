#pragma once

#include <vector>

#include "analysis/onset/model_search.hpp"

namespace thumblight::onset {

/// What lamps and lights together say of the exposure.
struct ExposureProfile {
  double exposure_s = 0;
  double u_s = 0;   ///< standard deviation
  ModelPoint at{};  ///< the likeliest model with nearly this exposure
};

/// Weighs exposures from a twentieth of the interval to the whole of it. The number of lamps caught
/// half lit tells the exposure whatever the light's rise; the light adds what it can: where it
/// rises along an S, or for longer than a frame, a longer rise and a longer exposure look alike and
/// neither the S nor a coder's way with small changes is known, so that it counts a quarter or
/// less. `temper`: by what the light's evidence is divided otherwise; `best`: a good model to start
/// from.
ExposureProfile weigh_exposures(const std::vector<FilmedStep>& light,
                                const std::vector<FilmedStep>& lamp, const ModelSearch& search,
                                const ModelPoint& best, double temper);

}  // namespace thumblight::onset
