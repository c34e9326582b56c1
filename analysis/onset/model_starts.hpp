#pragma once

#include <vector>

#include "analysis/onset/model_search.hpp"

namespace thumblight::onset {

/// Where a search for the model may begin: exposures short and long, each with an S-shaped rise, a
/// first-order one, and with none, as wide as the frames show it.
std::vector<ModelPoint> model_starts(const std::vector<FilmedStep>& light,
                                     const ModelSearch& search);

}  // namespace thumblight::onset
