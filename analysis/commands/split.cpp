#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>
#include <system_error>

#include "analysis/commands/chart_options.hpp"
#include "analysis/commands/input_record.hpp"
#include "analysis/commands/measure_session.hpp"
#include "analysis/commands/output_file.hpp"
#include "analysis/commands/recording_options.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/session_labels.hpp"
#include "analysis/commands/split_session.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/marks/merge.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "analysis/report/press_table.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr char kSplitExamples[] =
    "Examples:\n"
    "  thumblight-analysis split evening-1\n"
    "  thumblight-analysis split --timings marks.csv --capture-rate 240\n"
    "  thumblight-analysis split --timings sensor.json --log session.jsonl --clock-link shared\n"
    "  thumblight-analysis split evening-1 --chart bars.png --chart presses.png --chart-kind bars "
    "--chart-kind presses\n"
    "  thumblight-analysis split evening-1 --csv presses.csv\n"
    "  thumblight-analysis split evening-1 --quiet --out - | less";

/// The options as given; empty where they are not.
struct SplitOptions {
  std::string folder;
  std::string timings;
  std::string log;
  LinkOptions link;
  std::string out;
  std::string csv;
  std::optional<double> capture_rate_hz;
  ChartOptions charts;
};

/// The files that a run reads and writes; empty paths for none.
struct Files {
  fs::path timings;
  fs::path log;
  fs::path out;
  fs::path setup;
};

fs::path timings_in(const fs::path& folder) {
  const fs::path found = find_timings(folder);
  if (found.empty()) {
    throw Error(folder.string() +
                ": holds neither timings.json nor timings.csv; make one from the recording "
                "(thumblight-analysis extract), or name it with --timings");
  }
  return found;
}

Files files_of(const SplitOptions& options) {
  Files files{options.timings, options.log, options.out, {}};
  if (options.folder.empty()) {
    if (files.timings.empty()) {
      throw UsageError("split needs a session folder or --timings FILE; see split --help");
    }
    return files;
  }
  const fs::path folder = options.folder;
  require_folder(folder);
  if (files.timings.empty()) {
    files.timings = timings_in(folder);
  }
  if (files.log.empty()) {
    files.log = session_files(folder).log;
  }
  files.setup = session_files(folder).setup;
  if (files.out.empty()) {
    files.out = folder / "result.json";
  }
  return files;
}

/// Writing the result over what it is made from would lose the evidence.
void refuse_to_overwrite(const Files& files) {
  for (const fs::path& input : {files.timings, files.log}) {
    std::error_code ignored;
    if (!input.empty() && fs::equivalent(input, files.out, ignored)) {
      throw UsageError(files.out.string() +
                       ": is what the result is made from; name another file with --out");
    }
  }
}

std::optional<OutputFile> open_output(const Files& files, const Streams& streams) {
  if (files.out.empty()) {
    return std::nullopt;
  }
  refuse_to_overwrite(files);
  return std::make_optional<OutputFile>(files.out, streams.out);
}

std::optional<OutputFile> open_csv(const SplitOptions& options, const Files& files,
                                   const Streams& streams) {
  if (options.csv.empty()) {
    return std::nullopt;
  }
  refuse_to_overwrite({files.timings, files.log, options.csv, files.setup});
  if (options.csv == "-" && options.out == "-") {
    throw UsageError("--out - and --csv - both write to standard output; name a file for one");
  }
  return std::make_optional<OutputFile>(options.csv, streams.out);
}

/// Known where the result is made from the folder's own files alone, and these from no recording.
std::optional<report::Provenance> provenance_of(const SplitOptions& options, const Files& files) {
  const bool all_of_folder = !options.folder.empty() && options.timings.empty() &&
                             options.log.empty() && options.out.empty();
  if (!all_of_folder) {
    return std::nullopt;
  }
  const onset::Setup setup = files.setup.empty() ? onset::Setup{} : onset::read_setup(files.setup);
  if (!find_recording(options.folder, setup.recording).empty()) {
    return std::nullopt;
  }
  MeasureOptions measure;
  measure.link = options.link;
  measure.of_recording.capture_rate_hz = options.capture_rate_hz;
  return record_inputs(options.folder, text_of(measure));
}

void run_split(const SplitOptions& options, const Streams& streams) {
  const Files files = files_of(options);
  const std::optional<OutputFile> output = open_output(files, streams);
  const ChartFiles charts(options.charts, streams);
  const std::optional<OutputFile> csv = open_csv(options, files, streams);
  std::optional<report::Provenance> made_from = provenance_of(options, files);
  std::optional<session::Log> log;
  if (!files.log.empty()) {
    log = session::read_log(files.log);
  }
  onset::Timings timings = onset::read_timings(files.timings, options.capture_rate_hz);
  if (!options.folder.empty() && options.timings.empty()) {
    timings = marks::with_marks_in(options.folder, std::move(timings));
  }
  const onset::Setup setup = files.setup.empty() ? onset::Setup{} : onset::read_setup(files.setup);
  report::Result result =
      split_session(timings, log ? &*log : nullptr, options.link, setup, options.folder);
  result.labels = merged_labels(std::move(result.labels), files.setup);
  result.made_from = std::move(made_from);
  if (csv) {
    csv->write(report::encode_press_csv(result));
  }
  const bool on_standard = csv && csv->is_standard();
  put_result(
      result, output,
      {streams.out, streams.err, streams.quiet || on_standard, streams.progress, streams.columns});
  charts.write(result);
}

}  // namespace

Action add_split(CLI::App& app) {
  auto options = std::make_shared<SplitOptions>();
  app.add_option("folder", options->folder,
                 "Session folder: its timings.json (or timings.csv), session.jsonl and marks.jsonl "
                 "are read, result.json is written there");
  app.add_option("--timings", options->timings, "Timings, as JSON or as a table")
      ->type_name("FILE");
  app.add_option("--log", options->log, "Log of the harness")->type_name("FILE");
  add_link_options(app, options->link);
  app.add_option("--capture-rate", options->capture_rate_hz,
                 "Images per second at which a table's frames were captured")
      ->type_name("HZ")
      ->check(fault_of_rate);
  app.add_option("--out", options->out, "Where the result is written as JSON; - is standard output")
      ->type_name("FILE");
  add_chart_options(app, options->charts);
  app.add_option("--csv", options->csv, "Write every press as a table; - is standard output")
      ->type_name("FILE");
  app.footer(kSplitExamples);
  return [options](const Streams& streams) { run_split(*options, streams); };
}

}  // namespace thumblight::commands
