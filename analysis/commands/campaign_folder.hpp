#pragma once

#include <filesystem>
#include <vector>

namespace thumblight::commands {

/// Whether a folder is a campaign: no session itself, but with sessions in it.
bool is_campaign(const std::filesystem::path& folder);

/// The session folders in a campaign, by name: every sub-folder that holds a log, a recording or
/// timings, but for hidden ones. A sub-folder that cannot be read counts, so that it is named.
std::vector<std::filesystem::path> sessions_in(const std::filesystem::path& campaign);

}  // namespace thumblight::commands
