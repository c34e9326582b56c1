#include "analysis/report/session_names.hpp"

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>

#include "analysis/report/numbers.hpp"

namespace thumblight::report {
namespace {

std::string label_of(const ComparedSession& session, const std::string& key) {
  const auto found = session.result.labels.find(key);
  return found == session.result.labels.end() ? "" : found->second;
}

/// The labels that are not the same in every session.
std::vector<std::string> telling_labels(const std::vector<ComparedSession>& sessions) {
  std::set<std::string> keys;
  for (const ComparedSession& session : sessions) {
    for (const auto& [key, value] : session.result.labels) {
      keys.insert(key);
    }
  }
  std::vector<std::string> telling;
  for (const std::string& key : keys) {
    const std::string first = label_of(sessions.front(), key);
    if (std::any_of(sessions.begin(), sessions.end(), [&](const ComparedSession& session) {
          return label_of(session, key) != first;
        })) {
      telling.push_back(key);
    }
  }
  return telling;
}

std::string name_by_labels(const ComparedSession& session, const std::vector<std::string>& keys) {
  std::string name;
  for (const std::string& key : keys) {
    const std::string value = label_of(session, key);
    name += value.empty() ? "" : (name.empty() ? "" : ", ") + value;
  }
  return printable(name);
}

bool names_serve(const std::vector<ComparedSession>& sessions) {
  std::set<std::string> names;
  return std::all_of(sessions.begin(), sessions.end(), [&](const ComparedSession& session) {
    return !session.name.empty() && names.insert(session.name).second;
  });
}

}  // namespace

std::string folder_name(const std::string& path) {
  const std::filesystem::path folder = std::filesystem::path(path).lexically_normal();
  return printable(folder.has_filename() ? folder.filename().string()
                                         : folder.parent_path().filename().string());
}

void name_sessions(std::vector<ComparedSession>& sessions) {
  const std::vector<std::string> keys = telling_labels(sessions);
  for (ComparedSession& session : sessions) {
    session.name = name_by_labels(session, keys);
  }
  if (names_serve(sessions)) {
    return;
  }
  for (ComparedSession& session : sessions) {
    session.name = folder_name(session.path);
  }
  if (names_serve(sessions)) {
    return;
  }
  for (ComparedSession& session : sessions) {
    session.name = printable(session.path);
  }
}

void name_set_ups(std::vector<ComparedSession>& sessions) {
  const std::vector<std::string> keys = telling_labels(sessions);
  std::map<std::string, std::size_t> times;
  for (ComparedSession& session : sessions) {
    session.name = name_by_labels(session, keys);
    ++times[session.name];
  }
  for (ComparedSession& session : sessions) {
    const std::string folder = folder_name(session.path);
    if (session.name.empty()) {
      session.name = folder;
    } else if (times[session.name] > 1) {
      session.name += " (" + folder + ")";
    }
  }
}

}  // namespace thumblight::report
