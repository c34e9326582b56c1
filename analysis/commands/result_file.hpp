#pragma once

#include <filesystem>
#include <nlohmann/json_fwd.hpp>

namespace thumblight::commands {

/// The document in a result.json. Throws `Error` if the file cannot be read, is no result, or is of
/// a newer version.
nlohmann::json read_result_json(const std::filesystem::path& file);

}  // namespace thumblight::commands
