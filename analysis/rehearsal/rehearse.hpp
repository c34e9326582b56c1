#pragma once

#include <filesystem>

#include "analysis/rehearsal/presets.hpp"
#include "analysis/rehearsal/settings.hpp"
#include "analysis/rehearsal/truth.hpp"

/// A simulated bench: makes a session folder whose truth is known.
namespace thumblight::rehearsal {

/// Makes the folder, if need be, and in it the log, the recording, setup.json and truth.json. The
/// same settings give the same files. Throws `Error` rather than write over a session.
Truth rehearse(const Settings& settings, const std::filesystem::path& folder);

}  // namespace thumblight::rehearsal
