#include "analysis/commands/input_record.hpp"

#include <algorithm>
#include <chrono>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "analysis/commands/session_folder.hpp"
#include "analysis/marks/records.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/recording/file_digest.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;
using report::InputFile;

constexpr char kSetupName[] = "setup.json";

std::string load(const fs::path& file) {
  std::ifstream input(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
}

/// What setup.json says of the measuring: its labels may change without the result.
std::string digest_of_setup(const fs::path& file) {
  const std::string text = load(file);
  nlohmann::json document = nlohmann::json::parse(text, nullptr, false);
  if (!document.is_object()) {
    return recording::digest_of(text);
  }
  document.erase("labels");
  return recording::digest_of(
      document.empty() ? ""
                       : document.dump(-1, ' ', true, nlohmann::json::error_handler_t::replace));
}

std::int64_t modified_ns(const fs::path& file) {
  return std::chrono::duration_cast<std::chrono::nanoseconds>(
             std::chrono::file_clock::to_sys(fs::last_write_time(file)).time_since_epoch())
      .count();
}

/// Size and times of a file, or of all files in a folder together.
InputFile stamp(const fs::path& path) {
  InputFile input;
  input.name = path.filename().string();
  if (!fs::is_directory(path)) {
    input.bytes = fs::file_size(path);
    input.modified_ns = modified_ns(path);
    return input;
  }
  input.modified_ns = modified_ns(path);
  for (const fs::directory_entry& entry : fs::directory_iterator(path)) {
    if (entry.is_regular_file()) {
      input.bytes += entry.file_size();
      input.modified_ns = std::max(input.modified_ns, modified_ns(entry.path()));
    }
  }
  return input;
}

std::string digest_of(const fs::path& path) {
  return path.filename() == kSetupName ? digest_of_setup(path) : recording::digest_of_file(path);
}

/// The recording or the timings first.
std::vector<fs::path> inputs_in(const fs::path& folder) {
  const SessionFiles files = session_files(folder);
  const onset::Setup setup = files.setup.empty() ? onset::Setup{} : onset::read_setup(files.setup);
  const fs::path recording = find_recording(folder, setup.recording);
  std::vector<fs::path> inputs = {recording.empty() ? find_timings(folder) : recording};
  inputs.insert(inputs.end(), {files.log, files.setup});
  for (const char* name : {"exchange.csv", marks::kMarksName}) {
    if (fs::exists(folder / name)) {
      inputs.push_back(folder / name);
    }
  }
  inputs.erase(std::remove(inputs.begin(), inputs.end(), fs::path()), inputs.end());
  return inputs;
}

/// A set-up of labels alone says nothing of the measuring, as none does.
bool counts(const InputFile& input) {
  return input.name != kSetupName || input.digest != recording::digest_of("");
}

bool same(const fs::path& path, const InputFile& then) {
  const InputFile now = stamp(path);
  constexpr std::uintmax_t kSmall = 4'000'000;
  const bool large = now.bytes > kSmall;
  if (large && now.bytes == then.bytes && now.modified_ns == then.modified_ns) {
    return true;
  }
  return (!large || now.bytes == then.bytes) && digest_of(path) == then.digest;
}

}  // namespace

report::Provenance record_inputs(const fs::path& folder, const std::string& options) {
  report::Provenance record;
  record.program = THUMBLIGHT_VERSION;
  record.options = options;
  for (const fs::path& path : inputs_in(folder)) {
    InputFile input = stamp(path);
    input.digest = digest_of(path);
    if (counts(input)) {
      record.inputs.push_back(std::move(input));
    }
  }
  return record;
}

bool inputs_unchanged(const fs::path& folder, const report::Provenance& then) {
  std::size_t matched = 0;
  for (const fs::path& path : inputs_in(folder)) {
    const auto found = std::find_if(
        then.inputs.begin(), then.inputs.end(),
        [&](const InputFile& input) { return input.name == path.filename().string(); });
    if (found == then.inputs.end()) {
      if (path.filename() == kSetupName && digest_of_setup(path) == recording::digest_of("")) {
        continue;
      }
      return false;
    }
    if (!same(path, *found)) {
      return false;
    }
    ++matched;
  }
  return matched == then.inputs.size();
}

}  // namespace thumblight::commands
