#include "analysis/commands/pilot.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/commands/result_file.hpp"
#include "analysis/onset/json_node.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;
using onset::JsonNode;

fs::path result_of(const fs::path& path) {
  if (!fs::is_directory(path)) {
    return path;
  }
  if (!fs::exists(path / "result.json")) {
    throw Error(path.string() + ": holds no result.json; run 'thumblight-analysis measure " +
                path.string() + "' first");
  }
  return path / "result.json";
}

/// The scatter of one press and the lasting part, out of the rows of a budget.
void read_budget(const JsonNode& budget, report::Pilot& pilot) {
  pilot.lasting_u_ms = budget.need("lasting_ms").not_negative();
  double variance = 0;
  for (const JsonNode& row : budget.need("rows").items()) {
    if (row.need("shrinks_with_n").truth()) {
      const double u_ms = row.need("u_ms").not_negative();
      variance += u_ms * u_ms;
    }
  }
  pilot.sd_ms = std::sqrt(variance);
}

}  // namespace

report::Pilot read_pilot(const fs::path& path, timing::Portion portion) {
  const fs::path file = result_of(path);
  const nlohmann::json document = read_result_json(file);
  const JsonNode all(document, file.string(), "");
  const std::string name = timing::name(portion);
  const std::optional<JsonNode> values = all.need("summary").find((name + "_ms").c_str());
  if (!values || !values->find("n")) {
    throw Error(file.string() + ": knows nothing of the portion '" + name +
                "' press by press; take another with --portion");
  }
  report::Pilot pilot;
  pilot.name = path.string();
  pilot.portion = name;
  pilot.n = static_cast<std::size_t>(values->need("n").count());
  const std::optional<JsonNode> budget = values->find("budget");
  if (!budget || pilot.n < 2) {
    throw Error(file.string() + ": one press gives no spread; make a pilot of ten or more");
  }
  read_budget(*budget, pilot);
  if (pilot.sd_ms <= 0) {
    throw Error(file.string() +
                ": all presses came out alike, which shows no spread to plan with; state the "
                "camera's rate in place of the pilot");
  }
  return pilot;
}

}  // namespace thumblight::commands
