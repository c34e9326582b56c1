#pragma once

#include <filesystem>
#include <string>

#include "analysis/report/result.hpp"

/// What a session's result was made from, so that nothing is measured twice and nothing stays that
/// has been overtaken.
namespace thumblight::commands {

/// The files of a session that its result depends on, as they are now: the recording, or without
/// one the timings made by hand; session.jsonl, setup.json, exchange.csv, marks.jsonl. Labels are
/// no part of it: setup.json counts without them. `named` is the recording's name in setup.json.
/// Throws `Error` where there are several recordings, or a file cannot be read.
report::Provenance record_inputs(const std::filesystem::path& folder, const std::string& options);

/// Whether the inputs of a session are still those of `then`: the same files, of the same content.
/// A recording counts as the same if size and time of modification are, else its content decides.
bool inputs_unchanged(const std::filesystem::path& folder, const report::Provenance& then);

}  // namespace thumblight::commands
