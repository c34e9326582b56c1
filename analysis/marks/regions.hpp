#pragma once

#include <string>
#include <vector>

#include "analysis/marks/mark_set.hpp"
#include "analysis/onset/setup.hpp"

namespace thumblight::marks {

/// Puts regions that were dragged into the set-up, over its own, and names them. `press` is where
/// the lamp on the button is if the set-up's `press_from` says lamp, else where the finger moves.
std::vector<std::string> take_regions(const std::map<std::string, onset::Region>& dragged,
                                      onset::Setup& setup);

}  // namespace thumblight::marks
