#pragma once

#include <string>

#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

/// The text of setup.json: labels, and of what only the person at the bench knows as much as the
/// settings tell. Regions are in pixels of the upright picture.
std::string setup_text(const Truth& truth);

}  // namespace thumblight::rehearsal
