#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>

#include "analysis/commands/campaign_folder.hpp"
#include "analysis/commands/chart_options.hpp"
#include "analysis/commands/measure_campaign.hpp"
#include "analysis/commands/measure_session.hpp"
#include "analysis/commands/output_file.hpp"
#include "analysis/commands/report_file.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/session_lock.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/report/press_table.hpp"

namespace thumblight::commands {
namespace {

constexpr char kMeasureExamples[] =
    "Examples:\n"
    "  thumblight-analysis measure evening-1\n"
    "  thumblight-analysis measure evening-1 --capture-rate 240 --readout 3.1\n"
    "  thumblight-analysis measure evening-1 --chart bars.svg\n"
    "  thumblight-analysis measure evening-1 --clock-link none --no-pictures\n"
    "  thumblight-analysis measure evening-1 --csv presses.csv\n"
    "  thumblight-analysis measure evenings            # a campaign: every session in the folder";

struct MeasureVerbOptions {
  std::string folder;
  MeasureOptions measure;
  std::size_t jobs = 0;
  std::string csv;
  ChartOptions charts;
  bool no_report = false;
};

void measure_one(const MeasureVerbOptions& options, const Streams& streams) {
  std::optional<OutputFile> csv;
  if (!options.csv.empty()) {
    csv.emplace(options.csv, streams.out);
  }
  const ChartFiles charts(options.charts, streams);
  const auto page = options.no_report
                        ? std::nullopt
                        : std::make_optional<OutputFile>(
                              std::filesystem::path(options.folder) / kReportName, streams.out);
  const bool on_standard = csv && csv->is_standard();
  const SessionLock lock = SessionLock::wait(options.folder);
  const report::Result result = measure_session(
      options.folder, options.measure,
      {streams.out, streams.err, streams.quiet || on_standard, streams.progress, streams.columns});
  if (csv) {
    csv->write(report::encode_press_csv(result));
  }
  charts.write(result);
  if (!options.no_report) {
    write_report(
        {options.folder}, options.measure.link, options.measure.of_recording.capture_rate_hz,
        OutputFile(std::filesystem::path(options.folder) / kReportName, streams.out), streams);
  }
}

void measure_all(const MeasureVerbOptions& options, const Streams& streams) {
  if (!options.measure.link.exchanges.empty()) {
    throw UsageError(
        "one file of exchanges cannot serve several sessions; put each into its session's folder "
        "as exchange.csv");
  }
  if (!options.charts.files.empty()) {
    throw UsageError(
        "--chart is of one session here; for several name them to compare, with --chart");
  }
  if (!options.csv.empty()) {
    throw UsageError(
        "--csv is of the presses of one session; for the table of a campaign see compare --csv");
  }
  measure_campaign(options.folder, options.measure, options.jobs, streams);
}

void run_measure(const MeasureVerbOptions& options, const Streams& streams) {
  require_folder(options.folder);
  if (is_campaign(options.folder)) {
    measure_all(options, streams);
  } else {
    measure_one(options, streams);
  }
}

}  // namespace

Action add_measure(CLI::App& app) {
  auto options = std::make_shared<MeasureVerbOptions>();
  app.add_option("folder", options->folder,
                 "Session folder: its recording, session.jsonl and setup.json are read; "
                 "timings.json, result.json, report.html and the pictures are written there. Or a "
                 "folder of "
                 "such folders, a campaign: those are measured that have no result of these inputs "
                 "and options yet")
      ->required();
  add_link_options(app, options->measure.link);
  add_recording_options(app, options->measure.of_recording);
  app.add_option(
         "--jobs", options->jobs,
         "Sessions of a campaign that are measured at once (default: one a core, 8 at most)")
      ->type_name("N")
      ->check(CLI::Range(1, 256));
  app.add_option("--csv", options->csv,
                 "Write every press of a session as a table; - is standard output")
      ->type_name("FILE");
  add_chart_options(app, options->charts);
  app.add_flag("--no-report", options->no_report, "Write no report.html");
  app.footer(kMeasureExamples);
  return [options](const Streams& streams) { run_measure(*options, streams); };
}

}  // namespace thumblight::commands
