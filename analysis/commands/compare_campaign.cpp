#include "analysis/commands/compare_campaign.hpp"

#include <algorithm>
#include <set>

#include "analysis/commands/campaign_folder.hpp"
#include "analysis/commands/read_measured.hpp"
#include "analysis/report/campaign_json.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/session_names.hpp"
#include "analysis/report/terminal_campaign.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;
using Sessions = std::vector<report::ComparedSession>;

Sessions read_all(const fs::path& campaign, const Streams& streams) {
  Sessions sessions;
  for (const fs::path& session : sessions_in(campaign)) {
    try {
      sessions.push_back(read_measured(session));
    } catch (const std::exception& error) {
      streams.err << "left out: " << report::folder_name(session.string()) << ": "
                  << report::printable(error.what()) << '\n';
    }
  }
  if (sessions.empty()) {
    throw Error(campaign.string() +
                ": holds no session that has been measured; run 'thumblight-analysis measure " +
                campaign.string() + "' first");
  }
  return sessions;
}

std::set<std::string> label_keys(const Sessions& sessions) {
  std::set<std::string> keys;
  for (const report::ComparedSession& session : sessions) {
    for (const auto& [key, value] : session.result.labels) {
      keys.insert(key);
    }
  }
  return keys;
}

void require_label(const Sessions& sessions, const char* option, const std::string& key) {
  const std::set<std::string> keys = label_keys(sessions);
  if (keys.count(key) > 0) {
    return;
  }
  std::string known;
  for (const std::string& other : keys) {
    known += (known.empty() ? "" : ", ") + other;
  }
  throw UsageError(std::string(option) + " " + key + ": no session has this label; there are " +
                   (known.empty() ? "none" : known));
}

/// Those of which the label says so; a session without the label is as one whose label is empty.
void keep_where(Sessions& sessions, const std::string& condition) {
  const std::size_t sign = condition.find('=');
  const std::string key = condition.substr(0, sign);
  const std::string value = condition.substr(sign + 1);
  require_label(sessions, "--where", key);
  std::erase_if(sessions, [&](const report::ComparedSession& session) {
    const auto found = session.result.labels.find(key);
    return (found == session.result.labels.end() ? "" : found->second) != value;
  });
  if (sessions.empty()) {
    throw Error("--where " + condition +
                ": no measured session is left; see their labels with "
                "compare without --where");
  }
}

report::SortKey sort_of(const Sessions& sessions, const std::string& text) {
  const report::SortKey key = report::sort_key(text);
  if (!key.portion) {
    require_label(sessions, "--sort", key.label);
  }
  return key;
}

}  // namespace

void compare_campaign(const fs::path& campaign, const CampaignOptions& options,
                      const Streams& streams) {
  const auto out =
      options.out.empty() ? std::nullopt : std::make_optional<OutputFile>(options.out, streams.out);
  const TableFiles files(options.table, streams);
  Sessions sessions = read_all(campaign, streams);
  const report::SortKey sort = sort_of(sessions, options.sort);
  for (const std::string& condition : options.where) {
    keep_where(sessions, condition);
  }
  const report::Campaign table = report::make_campaign(std::move(sessions), sort);
  files.write(table);
  if (out) {
    out->write(report::encode_campaign_json(table));
  }
  if (!streams.quiet && !files.on_standard() && !(out && out->is_standard())) {
    write_standard(streams.out, report::terminal_campaign(table, streams.columns,
                                                          style_of(options.table, streams)));
  }
}

}  // namespace thumblight::commands
