#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/recording_options.hpp"
#include "analysis/commands/report_file.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/split_session.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "analysis/onset/timings_writer.hpp"
#include "analysis/report/terminal_table.hpp"
#include "analysis/report/terminal_timings.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr char kExamples[] =
    "Examples:\n"
    "  thumblight-analysis measure evening-1\n"
    "  thumblight-analysis measure evening-1 --capture-rate 240 --readout 3.1\n"
    "  thumblight-analysis measure evening-1 --clock-link none --no-pictures";

struct Options {
  std::string folder;
  LinkOptions link;
  RecordingOptions of_recording;
  bool no_report = false;
};

/// Reads the recording anew and keeps its timings; without a recording, what marks by hand say.
onset::Timings timings_of(const Options& options, const onset::Setup& setup,
                          const session::Log* log, const Streams& streams) {
  const fs::path folder = options.folder;
  const fs::path recording = find_recording(folder, setup.recording);
  if (recording.empty()) {
    const fs::path marks = find_timings(folder);
    if (marks.empty()) {
      throw Error(options.folder +
                  ": holds neither a recording nor timings; put the video or the sensor's file "
                  "into it");
    }
    return onset::read_timings(marks, setup.capture_rate_hz);
  }
  const OutputFile output(folder / "timings.json", streams.out);
  onset::Timings timings =
      read_recording(recording, setup, log, folder, options.of_recording, streams);
  output.write(onset::encode_timings_json(timings));
  if (!streams.quiet) {
    write_standard(streams.out, report::terminal_timings(timings) + '\n');
  }
  return timings;
}

void run_measure(const Options& options, const Streams& streams) {
  const fs::path folder = options.folder;
  require_folder(folder);
  const auto output = std::make_optional<OutputFile>(folder / "result.json", streams.out);
  const auto page = options.no_report
                        ? std::nullopt
                        : std::make_optional<OutputFile>(folder / kReportName, streams.out);
  const fs::path log_file = session_files(folder).log;
  std::optional<session::Log> log;
  if (!log_file.empty()) {
    log = session::read_log(log_file);
  }
  const session::Log* known = log ? &*log : nullptr;
  const onset::Setup setup = setup_with(session_files(folder).setup, options.of_recording);
  const onset::Timings timings = timings_of(options, setup, known, streams);
  put_result(split_session(timings, known, options.link, setup, folder), output, streams);
  if (page) {
    write_report({options.folder}, options.link, options.of_recording.capture_rate_hz, *page,
                 streams);
  }
}

}  // namespace

Action add_measure(CLI::App& app) {
  auto options = std::make_shared<Options>();
  app.add_option("folder", options->folder,
                 "Session folder: its recording, session.jsonl and setup.json are read; "
                 "timings.json, result.json, report.html and the pictures are written there")
      ->required();
  add_link_options(app, options->link);
  add_recording_options(app, options->of_recording);
  app.add_flag("--no-report", options->no_report, "Write no report.html");
  app.footer(kExamples);
  return [options](const Streams& streams) { run_measure(*options, streams); };
}

}  // namespace thumblight::commands
