#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>
#include <system_error>

#include "analysis/commands/chart_options.hpp"
#include "analysis/commands/output_file.hpp"
#include "analysis/commands/read_session.hpp"
#include "analysis/commands/recording_options.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/report/chart/chart.hpp"
#include "analysis/report/comparison.hpp"
#include "analysis/report/comparison_json.hpp"
#include "analysis/report/terminal_comparison.hpp"
#include "analysis/report/terminal_table.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr char kExamples[] =
    "Examples:\n"
    "  thumblight-analysis compare wired wireless\n"
    "  thumblight-analysis compare wired wireless bluetooth --out comparison.json\n"
    "  thumblight-analysis compare wired wireless --chart bars.png\n"
    "  thumblight-analysis compare wired wireless --quiet --out - | less";

/// Every pair is compared, so their number grows with the square.
constexpr std::size_t kMostSessions = 50;

struct Options {
  std::vector<std::string> sessions;
  LinkOptions link;
  std::optional<double> capture_rate_hz;
  std::string out;
  ChartOptions charts;
};

void check_sessions(const std::vector<std::string>& sessions) {
  if (sessions.size() < 2) {
    throw UsageError("compare needs two sessions or more; see compare --help");
  }
  if (sessions.size() > kMostSessions) {
    throw UsageError("compare takes " + std::to_string(kMostSessions) +
                     " sessions at most; compare fewer at a time");
  }
  std::error_code ignored;
  for (std::size_t a = 0; a < sessions.size(); ++a) {
    for (std::size_t b = a + 1; b < sessions.size(); ++b) {
      if (fs::equivalent(sessions[a], sessions[b], ignored)) {
        throw UsageError(sessions[b] +
                         ": is named twice; a session differs from itself by nothing");
      }
    }
  }
}

void check_link(const LinkOptions& link) {
  if (!link.exchanges.empty()) {
    throw UsageError(
        "one file of exchanges cannot serve several sessions; put each into its session's folder "
        "as exchange.csv");
  }
}

/// Writing the comparison over what it is made from would lose the evidence.
void refuse_to_overwrite(const Options& options) {
  for (const fs::path session : options.sessions) {
    const fs::path folder = fs::is_directory(session) ? session : session.parent_path();
    for (const char* name : {"timings.json", "timings.csv", "session.jsonl", "setup.json",
                             "result.json", "exchange.csv"}) {
      std::error_code ignored;
      if (fs::equivalent(folder / name, options.out, ignored)) {
        throw UsageError(options.out + ": belongs to a session; name another file with --out");
      }
    }
  }
}

std::optional<OutputFile> open_output(const Options& options, const Streams& streams) {
  if (options.out.empty()) {
    return std::nullopt;
  }
  refuse_to_overwrite(options);
  return std::make_optional<OutputFile>(options.out, streams.out);
}

report::ComparisonResult compare_all(const Options& options) {
  std::vector<report::ComparedSession> sessions;
  for (const std::string& session : options.sessions) {
    sessions.push_back(read_session(session, options.link, options.capture_rate_hz));
  }
  return report::compare_sessions(std::move(sessions));
}

/// The warnings of each session, under its name.
void tell_warnings(const report::ComparisonResult& comparison, const Streams& streams) {
  for (const report::ComparedSession& session : comparison.sessions) {
    if (!session.result.split.warnings.empty()) {
      streams.err << "of " << session.name << ":\n"
                  << report::terminal_warnings(session.result.split.warnings);
    }
  }
}

void run_compare(const Options& options, const Streams& streams) {
  check_sessions(options.sessions);
  check_link(options.link);
  const std::optional<OutputFile> output = open_output(options, streams);
  const ChartFiles charts(options.charts, streams);
  const report::ComparisonResult comparison = compare_all(options);
  if (output) {
    output->write(report::encode_comparison_json(comparison));
  }
  charts.write([&comparison](report::chart::ChartKind kind) {
    return report::chart::comparison_chart(comparison, kind);
  });
  if (streams.quiet) {
    return;
  }
  tell_warnings(comparison, streams);
  if (!output || !output->is_standard()) {
    write_standard(streams.out, report::terminal_comparison(comparison, streams.columns));
  }
}

}  // namespace

Action add_compare(CLI::App& app) {
  auto options = std::make_shared<Options>();
  app.add_option("sessions", options->sessions,
                 "Session folders that have been measured, or their result.json; two or more")
      ->type_name("SESSION");
  add_link_options(app, options->link);
  app.add_option("--capture-rate", options->capture_rate_hz,
                 "Images per second at which the frames of tables made by hand were captured "
                 "(default: setup.json's)")
      ->type_name("HZ")
      ->check(fault_of_rate);
  app.add_option("--out", options->out, "Write the comparison as JSON; - is standard output")
      ->type_name("FILE");
  add_chart_options(app, options->charts);
  app.footer(kExamples);
  return [options](const Streams& streams) { run_compare(*options, streams); };
}

}  // namespace thumblight::commands
