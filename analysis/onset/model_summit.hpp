#pragma once

#include <vector>

#include "analysis/onset/model_search.hpp"

namespace thumblight::onset {

/// The best model that climbs from many places reach. They know but a few steps, `light` and
/// `lamp`, to be quick; `fine` decides.
ModelPoint highest_summit(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
                          const ModelClimber& fine, const ModelSearch& search);

}  // namespace thumblight::onset
