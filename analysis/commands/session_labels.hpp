#pragma once

#include <filesystem>
#include <map>
#include <string>

#include "harness/session/records.hpp"

namespace thumblight::commands {

using Labels = std::map<std::string, std::string>;

/// The labels of a session: the log's, and over them those of setup.json (an empty path: none),
/// since a person edits that afterwards. A `null` there takes the log's label away. Throws `Error`
/// with file and key for labels that are no text.
Labels merged_labels(Labels of_log, const std::filesystem::path& setup);

/// The first record of a log, without the rest. Throws `Error` as `session::read_log`.
session::Header read_header(const std::filesystem::path& log);

}  // namespace thumblight::commands
