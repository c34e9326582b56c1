#include "analysis/commands/read_session.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/commands/result_file.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/session_labels.hpp"
#include "analysis/marks/merge.hpp"
#include "analysis/onset/json_node.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "analysis/report/numbers.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;
using onset::JsonNode;

constexpr char kResultName[] = "result.json";

fs::path folder_of(const fs::path& path) {
  if (fs::is_directory(path)) {
    return path;
  }
  if (!fs::exists(path)) {
    throw Error(path.string() + ": is not there; name the folder of a session or its result.json");
  }
  const fs::path parent = path.parent_path();
  return parent.empty() ? fs::path(".") : parent;
}

fs::path timings_in(const fs::path& folder, const onset::Setup& setup) {
  const fs::path timings = find_timings(folder);
  if (!timings.empty()) {
    return timings;
  }
  if (!find_recording(folder, setup.recording).empty()) {
    throw Error(folder.string() +
                ": its recording has not been read yet; run 'thumblight-analysis measure " +
                folder.string() + "' first");
  }
  throw Error(folder.string() +
              ": holds neither timings nor a recording; name the folder of a "
              "session that has been measured");
}

/// The clock link of a result as options, for what these leave open.
void take_link_of_result(const fs::path& file, LinkOptions& options) {
  const nlohmann::json document = read_result_json(file);
  const JsonNode link = JsonNode(document, file.string(), "").need("clock_link");
  options.clock_link = link.text_or_empty("kind");
  if (link.maybe("scan_out_prior", &JsonNode::truth) == false) {
    options.no_scan_out_prior = true;
  }
  if (!options.scan_out_share) {
    options.scan_out_share = link.maybe("scan_out_share", &JsonNode::number);
  }
  const std::optional<JsonNode> lag = link.find("lamp_lag_ms");
  if (options.lamp_lag.empty() && lag && lag->items().size() == 2) {
    options.lamp_lag = report::shortest(lag->items()[0].number()) + "," +
                       report::shortest(lag->items()[1].number());
  }
}

/// A result that was named by itself must be that of the timings beside it.
void require_agreement(const fs::path& file, const report::Result& result) {
  const nlohmann::json document = read_result_json(file);
  const std::vector<JsonNode> presses =
      JsonNode(document, file.string(), "").need("presses").items();
  bool agrees = presses.size() == result.split.presses.size();
  for (std::size_t k = 0; agrees && k < presses.size(); ++k) {
    const auto stated = presses[k].maybe("total_ms", &JsonNode::number);
    const auto& found = result.split.presses[k].portions_ms[timing::Portion::kTotal];
    constexpr double kRoundedMs = 1e-5;  // result.json has nanoseconds
    agrees = stated.has_value() == found.has_value() &&
             (!stated || std::abs(*stated - *found) <= kRoundedMs);
  }
  if (!agrees) {
    throw Error(file.string() +
                ": says otherwise than the timings in its folder; split the session anew, or put "
                "the timings that it was made from into a folder of their own");
  }
}

}  // namespace

report::ComparedSession read_session(const fs::path& path, LinkOptions options,
                                     std::optional<double> capture_rate_hz) {
  const fs::path folder = folder_of(path);
  const SessionFiles files = session_files(folder);
  const fs::path setup_file = files.setup;
  const onset::Setup setup = setup_file.empty() ? onset::Setup{} : onset::read_setup(setup_file);
  const fs::path result_file = fs::is_directory(path) ? folder / kResultName : path;
  if (options.clock_link.empty() && fs::exists(result_file)) {
    take_link_of_result(result_file, options);
  }
  std::optional<session::Log> log;
  if (!files.log.empty()) {
    log = session::read_log(files.log);
  }
  const onset::Timings timings = marks::with_marks_in(
      folder, onset::read_timings(timings_in(folder, setup),
                                  capture_rate_hz ? capture_rate_hz : setup.capture_rate_hz));
  report::ComparedSession session;
  session.path = path.string();
  session.result = split_session(timings, log ? &*log : nullptr, options, setup, folder);
  if (log) {
    session.header = log->header;
  }
  session.result.labels = merged_labels(std::move(session.result.labels), setup_file);
  if (!fs::is_directory(path)) {
    require_agreement(path, session.result);
  }
  return session;
}

}  // namespace thumblight::commands
