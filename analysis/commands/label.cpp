#include <CLI/CLI.hpp>
#include <fstream>
#include <iterator>
#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/session_labels.hpp"
#include "analysis/commands/session_lock.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/onset/json_node.hpp"
#include "analysis/report/numbers.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;  // keeps the order in which a person wrote the keys

constexpr char kLabelExamples[] =
    "Examples:\n"
    "  thumblight-analysis label evening-1\n"
    "  thumblight-analysis label evening-1 controller=Heron connection=wired\n"
    "  thumblight-analysis label evening-1 'display=the tube' --remove program";

struct LabelOptions {
  std::string folder;
  std::vector<std::string> labels;
  std::vector<std::string> removed;

  bool changes() const { return !labels.empty() || !removed.empty(); }
};

std::string fault_of_label(const std::string& text) {
  const std::size_t sign = text.find('=');
  return sign == std::string::npos || sign == 0
             ? "'" + report::printable(text) + "' is no label; write it as controller=Heron"
             : "";
}

Json load(const fs::path& file) {
  if (!fs::exists(file)) {
    return Json::object();
  }
  std::ifstream input(file, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
  // This reader's faults name file and line; that it is JSON the next one can then take for
  // granted.
  const nlohmann::json checked = onset::parse_json(text, file.string());
  onset::JsonNode(checked, file.string(), "").object();
  if (const auto labels = onset::JsonNode(checked, file.string(), "").find("labels")) {
    labels->object();
  }
  return Json::parse(text);
}

/// A label that the log has too is put to `null`, since it would come back otherwise.
void remove(Json& labels, const std::string& key, const Labels& of_log) {
  if (of_log.count(key) > 0) {
    labels[key] = nullptr;
  } else if (labels.erase(key) == 0) {
    throw Error("--remove " + report::printable(key) + ": the session has no such label");
  }
}

void edit(Json& document, const LabelOptions& options, const Labels& of_log) {
  if (!document.contains("labels") || document["labels"].is_null()) {
    document["labels"] = Json::object();
  }
  Json& labels = document["labels"];
  for (const std::string& label : options.labels) {
    const std::size_t sign = label.find('=');
    labels[label.substr(0, sign)] = label.substr(sign + 1);
  }
  for (const std::string& key : options.removed) {
    remove(labels, key, of_log);
  }
  if (labels.empty()) {
    document.erase("labels");
  }
}

std::string encode(const Json& document) {
  try {
    return document.dump(2) + '\n';
  } catch (const Json::exception&) {
    throw Error("a label is no UTF-8; write it in UTF-8");
  }
}

void tell(const Labels& labels, const Streams& streams) {
  if (streams.quiet) {
    return;
  }
  std::string text;
  for (const auto& [key, value] : labels) {
    text += report::printable(key) + ": " + report::printable(value) + '\n';
  }
  write_standard(streams.out, text.empty() ? "no labels\n" : text);
}

void run_label(const LabelOptions& options, const Streams& streams) {
  require_folder(options.folder);
  if (!holds_session(options.folder)) {
    throw Error(options.folder +
                ": holds neither a log nor a recording nor timings; name the folder of a session");
  }
  const fs::path log = session_files(options.folder).log;
  const Labels of_log = log.empty() ? Labels() : read_header(log).labels;
  const fs::path setup = fs::path(options.folder) / "setup.json";
  if (options.changes()) {
    const SessionLock lock = SessionLock::wait(options.folder);
    const OutputFile output(setup, streams.out);
    Json document = load(setup);
    edit(document, options, of_log);
    output.write(encode(document));
  }
  tell(merged_labels(of_log, session_files(options.folder).setup), streams);
}

}  // namespace

Action add_label(CLI::App& app) {
  auto options = std::make_shared<LabelOptions>();
  app.add_option("session", options->folder, "Session folder; its setup.json is edited")
      ->type_name("SESSION")
      ->required();
  app.add_option("labels", options->labels,
                 "Labels to be set; without any change those that the session has are shown")
      ->type_name("KEY=VALUE")
      ->check(fault_of_label);
  app.add_option("--remove", options->removed, "Label to be taken away, the log's too")
      ->type_name("KEY")
      ->allow_extra_args(false);
  app.footer(kLabelExamples);
  return [options](const Streams& streams) { run_label(*options, streams); };
}

}  // namespace thumblight::commands
