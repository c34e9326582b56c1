#pragma once

#include <filesystem>

#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

/// Records light and contact with a sensor into a sound file or a table, and notes in
/// `truth.sensor` how. Sample n of a sound file stands for the time n / rate: it holds the mean
/// from half a sample before to half a sample after.
void trace(Truth& truth, const std::filesystem::path& file);

}  // namespace thumblight::rehearsal
