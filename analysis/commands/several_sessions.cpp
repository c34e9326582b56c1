#include "analysis/commands/several_sessions.hpp"

#include <filesystem>
#include <system_error>

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

}  // namespace

void check_sessions(const std::vector<std::string>& sessions, const std::string& verb) {
  if (sessions.size() > kMostSessions) {
    throw UsageError(verb + " takes " + std::to_string(kMostSessions) + " sessions at most; " +
                     verb + " fewer at a time");
  }
  std::error_code ignored;
  for (std::size_t a = 0; a < sessions.size(); ++a) {
    for (std::size_t b = a + 1; b < sessions.size(); ++b) {
      if (fs::equivalent(sessions[a], sessions[b], ignored)) {
        throw UsageError(sessions[b] +
                         ": is named twice; a session differs from itself by nothing");
      }
    }
  }
}

void check_link(const LinkOptions& link) {
  if (!link.exchanges.empty()) {
    throw UsageError(
        "one file of exchanges cannot serve several sessions; put each into its session's folder "
        "as exchange.csv");
  }
}

void refuse_to_overwrite(const std::vector<std::string>& sessions, const std::string& out) {
  for (const fs::path session : sessions) {
    const fs::path folder = fs::is_directory(session) ? session : session.parent_path();
    for (const char* name : {"timings.json", "timings.csv", "session.jsonl", "setup.json",
                             "result.json", "exchange.csv"}) {
      std::error_code ignored;
      if (fs::equivalent(folder / name, out, ignored)) {
        throw UsageError(out + ": belongs to a session; name another file with --out");
      }
    }
  }
}

}  // namespace thumblight::commands
