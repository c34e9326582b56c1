#include "analysis/commands/session_folder.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <system_error>
#include <vector>

#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr std::array kEndings = {".mp4", ".mov", ".m4v",  ".mkv", ".webm",
                                 ".avi", ".wav", ".flac", ".w64"};

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char letter) { return std::tolower(letter); });
  return text;
}

bool is_recording(const fs::directory_entry& entry) {
  const std::string name = entry.path().filename().string();
  if (entry.is_directory()) {
    return name == "frames";
  }
  const std::string ending = lower(entry.path().extension().string());
  return name == "sensor.csv" ||
         std::find(kEndings.begin(), kEndings.end(), ending) != kEndings.end();
}

fs::path present(const fs::path& file) {
  return fs::exists(file) ? file : fs::path();
}

}  // namespace

SessionFiles session_files(const fs::path& folder) {
  return {present(folder / "session.jsonl"), present(folder / "setup.json")};
}

bool holds_session(const fs::path& folder) {
  std::error_code fault;
  for (fs::directory_iterator entry(folder, fault), end; !fault && entry != end;
       entry.increment(fault)) {
    const std::string name = entry->path().filename().string();
    if (name == "session.jsonl" || name == "timings.json" || name == "timings.csv" ||
        is_recording(*entry)) {
      return true;
    }
  }
  return static_cast<bool>(fault);
}

void require_folder(const fs::path& folder) {
  if (!fs::is_directory(folder)) {
    throw Error(folder.string() + ": is no folder; name the folder of a session");
  }
}

fs::path find_recording(const fs::path& folder, const std::string& named) {
  if (!named.empty()) {
    const fs::path file = folder / named;
    if (!fs::exists(file)) {
      throw Error((folder / "setup.json").string() + ": the key 'recording' names " + named +
                  ", which is not in the folder; mend the name or put the file there");
    }
    return file;
  }
  std::vector<fs::path> found;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder)) {
    if (is_recording(entry)) {
      found.push_back(entry.path());
    }
  }
  if (found.size() > 1) {
    std::sort(found.begin(), found.end());
    throw Error(folder.string() + ": holds more than one recording (" +
                found[0].filename().string() + ", " + found[1].filename().string() +
                (found.size() > 2 ? ", ..." : "") + "); say which with {\"recording\": \"" +
                found[0].filename().string() + "\"} in setup.json");
  }
  return found.empty() ? fs::path() : found.front();
}

fs::path find_timings(const fs::path& folder) {
  const fs::path json = present(folder / "timings.json");
  return json.empty() ? present(folder / "timings.csv") : json;
}

}  // namespace thumblight::commands
