#include "analysis/commands/split_session.hpp"

#include <CLI/CLI.hpp>

#include "analysis/report/result_json.hpp"
#include "analysis/report/terminal_table.hpp"
#include "analysis/timing/split.hpp"

namespace thumblight::commands {
namespace {

timing::ClockLinkKind choose_link(const std::string& clock_link, const onset::Timings& timings,
                                  bool has_log) {
  if (clock_link.empty()) {
    return timing::default_clock_link(timings.recording.clock, has_log);
  }
  const auto kind = timing::clock_link_of(clock_link);
  if (!kind || (*kind != timing::ClockLinkKind::kNone && !has_log)) {
    throw UsageError("--clock-link " + clock_link + " needs the session log; name it with --log");
  }
  return *kind;
}

}  // namespace

report::Result split_session(const onset::Timings& timings, const session::Log* log,
                             const std::string& clock_link) {
  const timing::ClockLinkKind kind = choose_link(clock_link, timings, log != nullptr);
  return report::make_result(timing::split_presses(timings, log, kind), timings, log);
}

void put_result(const report::Result& result, const std::optional<OutputFile>& output,
                const Streams& streams) {
  if (output) {
    output->write(report::encode_result_json(result));
  }
  if (streams.quiet) {
    return;
  }
  streams.err << report::terminal_warnings(result.split.warnings);
  if (!output || !output->is_standard()) {
    write_standard(streams.out, report::terminal_table(result));
  }
}

void add_clock_link(CLI::App& app, std::string& clock_link) {
  app.add_option("--clock-link", clock_link,
                 "What ties the clocks: shared, causality or none (default: none without a log, "
                 "shared for timings on the host's clock, else causality)")
      ->type_name("LINK")
      ->check(CLI::IsMember({"shared", "causality", "none"}));
}

}  // namespace thumblight::commands
