#pragma once

#include <filesystem>
#include <string>

#include "analysis/commands/recording_options.hpp"
#include "analysis/commands/split_session.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/report/result.hpp"

namespace thumblight::commands {

/// How sessions are to be measured.
struct MeasureOptions {
  LinkOptions link;
  RecordingOptions of_recording;
};

/// The options that change a result, as text; equal texts are equal options.
std::string text_of(const MeasureOptions& options);

/// Measures a session folder, all steps: reads the recording anew and keeps its timings (without a
/// recording, what marks by hand say), splits, writes result.json with what it was made from, and
/// tells of it unless quiet. The caller holds the session's lock. Throws `Error`.
report::Result measure_session(const std::filesystem::path& folder, const MeasureOptions& options,
                               const Streams& streams);

/// Removes what a program that was killed while writing timings.json or result.json has left; the
/// caller holds the session's lock.
void remove_leftovers(const std::filesystem::path& folder);

}  // namespace thumblight::commands
