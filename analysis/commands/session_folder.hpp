#pragma once

#include <filesystem>
#include <string>

namespace thumblight::commands {

/// Where the parts of a session lie; an empty path where there is none.
struct SessionFiles {
  std::filesystem::path log;
  std::filesystem::path setup;
};

/// session.jsonl and setup.json of `folder`, where they are.
SessionFiles session_files(const std::filesystem::path& folder);

/// Whether a folder is a session's: it holds a log, a recording or timings. One that cannot be read
/// counts.
bool holds_session(const std::filesystem::path& folder);

/// Throws `Error` if `folder` is none.
void require_folder(const std::filesystem::path& folder);

/// The recording in `folder`: what `named` (setup.json's key `recording`) says, or the one video,
/// sound file, `sensor.csv` or folder `frames` in it. Empty where there is none; throws `Error`
/// where there are several, naming them.
std::filesystem::path find_recording(const std::filesystem::path& folder, const std::string& named);

/// timings.json, or timings.csv made by hand; empty where there is neither.
std::filesystem::path find_timings(const std::filesystem::path& folder);

}  // namespace thumblight::commands
