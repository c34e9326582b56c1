#pragma once

#include <filesystem>

#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

/// Films the course of events, one image in memory at a time, and notes in `truth.video` what the
/// camera did.
void film(Truth& truth, const std::filesystem::path& file);

}  // namespace thumblight::rehearsal
