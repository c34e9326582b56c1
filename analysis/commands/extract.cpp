#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/recording_options.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/onset/timings_writer.hpp"
#include "analysis/report/terminal_table.hpp"
#include "analysis/report/terminal_timings.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr char kExtractExamples[] =
    "Examples:\n"
    "  thumblight-analysis extract evening-1/camera.mp4\n"
    "  thumblight-analysis extract clip.mov --capture-rate 240 --out marks.json\n"
    "  thumblight-analysis extract sensor.wav --log session.jsonl --table marks.csv\n"
    "  thumblight-analysis extract camera.mp4 --patch 700,320,400,400 --lamp 210,640,12,12";

struct ExtractOptions {
  std::string recording;
  std::string log;
  std::string setup;
  std::string out;
  std::string table;
  RecordingOptions of_recording;
};

/// The files of a run; empty paths for none.
struct Files {
  fs::path recording;
  fs::path log;
  fs::path setup;
  fs::path out;
  fs::path pictures;
  fs::path beside;  ///< the recording's folder
};

void require(const fs::path& file) {
  if (!fs::exists(file)) {
    throw Error(file.string() + ": is not there; check the path");
  }
}

/// Log and set-up lie beside the recording unless they are named; the timings go there too.
Files files_of(const ExtractOptions& options) {
  require(options.recording);
  const fs::path recording = options.recording;
  const fs::path beside = (recording / ".").lexically_normal().parent_path().parent_path();
  const SessionFiles found = session_files(beside);
  Files files{recording, options.log, options.setup, options.out, {}, beside};
  files.log = files.log.empty() ? found.log : files.log;
  files.setup = files.setup.empty() ? found.setup : files.setup;
  if (!options.setup.empty()) {
    require(files.setup);
  }
  if (files.out.empty()) {
    files.out = beside / "timings.json";
  }
  if (files.out != "-") {
    files.pictures = files.out.has_parent_path() ? files.out.parent_path() : fs::path(".");
  }
  return files;
}

void refuse_to_overwrite(const Files& files, const fs::path& out) {
  for (const fs::path& input : {files.recording, files.log, files.setup}) {
    std::error_code ignored;
    if (!input.empty() && fs::equivalent(input, out, ignored)) {
      throw UsageError(out.string() + ": is what is read; name another file to write");
    }
  }
}

std::optional<OutputFile> open_table(const ExtractOptions& options, const Files& files,
                                     const Streams& streams) {
  if (options.table.empty()) {
    return std::nullopt;
  }
  if (options.table == "-" && files.out == "-") {
    throw UsageError("--out - and --table - both write to standard output; name a file for one");
  }
  refuse_to_overwrite(files, options.table);
  return std::make_optional<OutputFile>(options.table, streams.out);
}

onset::Timings extract_files(const ExtractOptions& options, const Files& files,
                             const Streams& streams) {
  std::optional<session::Log> log;
  if (!files.log.empty()) {
    log = session::read_log(files.log);
  }
  const onset::Setup setup = setup_with(files.setup, files.beside, options.of_recording, streams);
  return read_recording(files.recording, setup, log ? &*log : nullptr, files.pictures,
                        options.of_recording, streams);
}

void run_extract(const ExtractOptions& options, const Streams& streams) {
  const Files files = files_of(options);
  refuse_to_overwrite(files, files.out);
  const OutputFile output(files.out, streams.out);
  const std::optional<OutputFile> table = open_table(options, files, streams);
  const onset::Timings timings = extract_files(options, files, streams);
  output.write(onset::encode_timings_json(timings));
  if (table) {
    table->write(onset::encode_timings_table(timings));
  }
  if (streams.quiet) {
    return;
  }
  streams.err << report::terminal_warnings(timings.warnings);
  if (!output.is_standard() && !(table && table->is_standard())) {
    write_standard(streams.out,
                   report::terminal_timings(timings) + "\nwritten: " + files.out.string() + '\n');
  }
}

}  // namespace

Action add_extract(CLI::App& app) {
  auto options = std::make_shared<ExtractOptions>();
  app.add_option("recording", options->recording,
                 "A video, a folder of numbered images, a sound file or a CSV of samples")
      ->required();
  app.add_option("--log", options->log,
                 "Log of the harness (default: session.jsonl beside the recording)")
      ->type_name("FILE");
  app.add_option("--setup", options->setup,
                 "What only you know of the recording (default: setup.json beside it)")
      ->type_name("FILE");
  app.add_option("--out", options->out,
                 "Where the timings are written as JSON, with regions.png and the folder evidence "
                 "beside them (default: timings.json beside the recording); - is standard output")
      ->type_name("FILE");
  app.add_option("--table", options->table, "Write the instants as CSV too; - is standard output")
      ->type_name("FILE");
  add_recording_options(app, options->of_recording);
  app.footer(kExtractExamples);
  return [options](const Streams& streams) { run_extract(*options, streams); };
}

}  // namespace thumblight::commands
