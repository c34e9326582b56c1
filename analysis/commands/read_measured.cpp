#include "analysis/commands/read_measured.hpp"

#include <nlohmann/json.hpp>

#include "analysis/commands/input_record.hpp"
#include "analysis/commands/result_file.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/session_labels.hpp"
#include "analysis/report/result_reader.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {

namespace fs = std::filesystem;

report::ComparedSession read_measured(const fs::path& session) {
  const fs::path file = session / "result.json";
  if (!fs::exists(file)) {
    throw Error("it has not been measured yet; measure the campaign");
  }
  report::ComparedSession measured;
  measured.path = session.string();
  measured.result = report::read_result_summary(read_result_json(file), file.string());
  if (!measured.result.made_from) {
    throw Error("its result does not say what it was made from; measure the campaign");
  }
  if (!inputs_unchanged(session, *measured.result.made_from)) {
    throw Error(
        "one of its recording, log, set-up and marks has changed since it was measured; measure "
        "the campaign");
  }
  measured.result.made_from.reset();
  const SessionFiles files = session_files(session);
  Labels of_log;
  if (!files.log.empty()) {
    measured.header = read_header(files.log);
    of_log = measured.header->labels;
  }
  measured.result.labels = merged_labels(std::move(of_log), files.setup);
  return measured;
}

}  // namespace thumblight::commands
