#include "analysis/commands/result_file.hpp"

#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "analysis/onset/json_node.hpp"
#include "analysis/report/result_json.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

std::string load(const std::filesystem::path& file) {
  std::ifstream input(file, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
  if (!input || std::filesystem::is_directory(file)) {
    throw Error(file.string() + ": cannot be read; check its name and rights");
  }
  return text;
}

}  // namespace

nlohmann::json read_result_json(const std::filesystem::path& file) {
  nlohmann::json document = onset::parse_json(load(file), file.string());
  const onset::JsonNode all = onset::JsonNode(document, file.string(), "").object();
  if (all.text_or_empty("format") != report::kResultFormat) {
    throw Error(file.string() +
                ": is no result of thumblight-analysis; name a result.json or the "
                "folder of a session");
  }
  if (all.need("version").whole() > report::kResultVersion) {
    throw Error(file.string() +
                ": was written by a newer version; update thumblight-analysis, or split the "
                "session anew");
  }
  return document;
}

}  // namespace thumblight::commands
