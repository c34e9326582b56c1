#pragma once

#include <string>

#include "analysis/review/canvas.hpp"

namespace thumblight::review {

/// File of the system's plain or strong sans-serif letters, by fontconfig; empty where it has none.
std::string letters_file(bool strong);

/// Puts the letters of this size into Dear ImGui's atlas, from the system's files or, without any,
/// ImGui's own; what was in it before is gone.
Typeface load_typeface(double size);

}  // namespace thumblight::review
