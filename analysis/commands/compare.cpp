#include <CLI/CLI.hpp>
#include <memory>
#include <optional>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/read_session.hpp"
#include "analysis/commands/recording_options.hpp"
#include "analysis/commands/several_sessions.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/report/comparison.hpp"
#include "analysis/report/comparison_json.hpp"
#include "analysis/report/terminal_comparison.hpp"
#include "analysis/report/terminal_table.hpp"

namespace thumblight::commands {
namespace {

constexpr char kExamples[] =
    "Examples:\n"
    "  thumblight-analysis compare wired wireless\n"
    "  thumblight-analysis compare wired wireless bluetooth --out comparison.json\n"
    "  thumblight-analysis compare wired wireless --quiet --out - | less";

struct Options {
  std::vector<std::string> sessions;
  LinkOptions link;
  std::optional<double> capture_rate_hz;
  std::string out;
};

std::optional<OutputFile> open_output(const Options& options, const Streams& streams) {
  if (options.out.empty()) {
    return std::nullopt;
  }
  refuse_to_overwrite(options.sessions, options.out);
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
  if (options.sessions.size() < 2) {
    throw UsageError("compare needs two sessions or more; see compare --help");
  }
  check_sessions(options.sessions, "compare");
  check_link(options.link);
  const std::optional<OutputFile> output = open_output(options, streams);
  const report::ComparisonResult comparison = compare_all(options);
  if (output) {
    output->write(report::encode_comparison_json(comparison));
  }
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
  app.footer(kExamples);
  return [options](const Streams& streams) { run_compare(*options, streams); };
}

}  // namespace thumblight::commands
