#include "analysis/commands/session_labels.hpp"

#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>

#include "analysis/onset/json_node.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::commands {

using onset::JsonNode;

Labels merged_labels(Labels labels, const std::filesystem::path& setup) {
  if (setup.empty()) {
    return labels;
  }
  std::ifstream input(setup, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
  const nlohmann::json document = onset::parse_json(text, setup.string());
  const std::optional<JsonNode> found = JsonNode(document, setup.string(), "").find("labels");
  if (!found) {
    return labels;
  }
  const JsonNode object = found->object();
  for (const auto& [key, value] : document["labels"].items()) {
    if (value.is_null()) {
      labels.erase(key);
    } else {
      labels[key] = object.need(key.c_str()).text();
    }
  }
  return labels;
}

session::Header read_header(const std::filesystem::path& log) {
  std::ifstream input(log, std::ios::binary);
  std::string line;
  if (!std::getline(input, line)) {
    throw Error(log.string() + ": cannot be read, or is empty; check its rights");
  }
  std::istringstream first(line + '\n');
  return session::read_log(first, log.string()).header;
}

}  // namespace thumblight::commands
