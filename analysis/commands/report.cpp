#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>

#include "analysis/commands/recording_options.hpp"
#include "analysis/commands/report_file.hpp"
#include "analysis/commands/several_sessions.hpp"
#include "analysis/commands/verbs.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr char kReportExamples[] =
    "Examples:\n"
    "  thumblight-analysis report evening-1\n"
    "  thumblight-analysis report wired wireless --out pads.html\n"
    "  thumblight-analysis report evening-1 --quiet --out - > page.html";

struct ReportOptions {
  std::vector<std::string> sessions;
  LinkOptions link;
  std::optional<double> capture_rate_hz;
  std::string out;
};

/// Beside the session; for several, in the folder where the program runs.
fs::path out_of(const ReportOptions& options) {
  if (!options.out.empty()) {
    return options.out;
  }
  const fs::path session = options.sessions.front();
  const fs::path folder = fs::is_directory(session) ? session : session.parent_path();
  return options.sessions.size() == 1 ? folder / kReportName : fs::path(kReportName);
}

void run_report(const ReportOptions& options, const Streams& streams) {
  if (options.sessions.empty()) {
    throw UsageError("report needs a session that has been measured; see report --help");
  }
  check_sessions(options.sessions, "report");
  if (options.sessions.size() > 1) {
    check_link(options.link);
  }
  const fs::path out = out_of(options);
  refuse_to_overwrite(options.sessions, out.string());
  write_report(options.sessions, options.link, options.capture_rate_hz,
               OutputFile(out, streams.out), streams);
}

}  // namespace

Action add_report(CLI::App& app) {
  auto options = std::make_shared<ReportOptions>();
  app.add_option("sessions", options->sessions,
                 "Session folders that have been measured, or their result.json; several are "
                 "compared")
      ->type_name("SESSION");
  add_link_options(app, options->link);
  app.add_option("--capture-rate", options->capture_rate_hz,
                 "Images per second at which the frames of tables made by hand were captured "
                 "(default: setup.json's)")
      ->type_name("HZ")
      ->check(fault_of_rate);
  app.add_option("--out", options->out,
                 "Where the page is written; - is standard output (default: report.html in the "
                 "session's folder; of several sessions, report.html here)")
      ->type_name("FILE");
  app.footer(kReportExamples);
  return [options](const Streams& streams) { run_report(*options, streams); };
}

}  // namespace thumblight::commands
