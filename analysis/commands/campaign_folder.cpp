#include "analysis/commands/campaign_folder.hpp"

#include <algorithm>
#include <system_error>

#include "analysis/commands/session_folder.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {

namespace fs = std::filesystem;

bool is_campaign(const fs::path& folder) {
  std::error_code ignored;
  return fs::is_directory(folder, ignored) && !holds_session(folder) &&
         !sessions_in(folder).empty();
}

std::vector<fs::path> sessions_in(const fs::path& campaign) {
  std::vector<fs::path> sessions;
  std::error_code fault;
  for (fs::directory_iterator entry(campaign, fault), end; !fault && entry != end;
       entry.increment(fault)) {
    std::error_code ignored;
    const bool hidden = entry->path().filename().string().starts_with('.');
    if (!hidden && entry->is_directory(ignored) && holds_session(entry->path())) {
      sessions.push_back(entry->path());
    }
  }
  if (fault) {
    throw Error(campaign.string() + ": cannot be read: " + fault.message() + "; check its rights");
  }
  std::sort(sessions.begin(), sessions.end());
  return sessions;
}

}  // namespace thumblight::commands
