#include "analysis/commands/split_session.hpp"

#include <CLI/CLI.hpp>
#include <cstdio>

#include "analysis/report/result_json.hpp"
#include "analysis/report/terminal_table.hpp"
#include "analysis/timing/exchange_table.hpp"
#include "analysis/timing/split.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

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

/// MIN,MAX in milliseconds; empty if `text` is nothing of the kind.
std::optional<timing::LampLag> lag_in(const std::string& text) {
  double min_ms = 0;
  double max_ms = 0;
  char rest = 0;
  if (std::sscanf(text.c_str(), "%lf,%lf%c", &min_ms, &max_ms, &rest) != 2 || !(min_ms >= 0) ||
      !(max_ms >= min_ms) || !(max_ms <= 1000)) {
    return std::nullopt;
  }
  return timing::LampLag{min_ms / 1e3, max_ms / 1e3};
}

std::optional<timing::LampLag> lag_of(const LinkOptions& options, const onset::Setup& setup) {
  if (!options.lamp_lag.empty()) {
    return lag_in(options.lamp_lag);
  }
  if (setup.lamp_lag_min_s && setup.lamp_lag_max_s) {
    return timing::LampLag{*setup.lamp_lag_min_s, *setup.lamp_lag_max_s};
  }
  return std::nullopt;
}

std::vector<session::Exchange> exchanges_of(const LinkOptions& options, const fs::path& folder) {
  if (!options.exchanges.empty()) {
    return timing::read_exchange_table(options.exchanges);
  }
  const fs::path beside = folder / "exchange.csv";
  if (!folder.empty() && fs::exists(beside)) {
    return timing::read_exchange_table(beside);
  }
  return {};
}

}  // namespace

void add_link_options(CLI::App& app, LinkOptions& options) {
  app.add_option("--clock-link", options.clock_link,
                 "What ties the clocks: shared, exchange, lamp, causality or none (default: none "
                 "without a log, shared for timings on the host's clock, else causality)")
      ->type_name("LINK")
      ->check(CLI::IsMember({"shared", "exchange", "lamp", "causality", "none"}));
  app.add_option("--exchanges", options.exchanges,
                 "CSV of exchanges t1_ns,t2_s,t3_s,t4_ns between host and sensor (default: "
                 "exchange.csv in the folder, and those in the log)")
      ->type_name("FILE");
  app.add_option("--lamp-lag", options.lamp_lag,
                 "How long after it is switched the host's lamp lights, at least and at most")
      ->type_name("MIN,MAX")
      ->check([](const std::string& text) {
        return lag_in(text) ? "" : "'" + text + "' is no range of milliseconds, as 0.2,1";
      });
  app.add_flag("--no-scan-out-prior", options.no_scan_out_prior,
               "Causality: do not suppose that light waits for the scan-out to reach the patch");
  app.add_option("--scan-out-share", options.scan_out_share,
                 "Part of a refresh in which the visible rows are scanned (default: by the mode)")
      ->type_name("SHARE")
      ->check(CLI::Range(0.01, 1.0));
}

report::Result split_session(const onset::Timings& timings, const session::Log* log,
                             const LinkOptions& options, const onset::Setup& setup,
                             const fs::path& folder) {
  timing::SplitBasis basis(choose_link(options.clock_link, timings, log != nullptr));
  basis.lamp_lag = lag_of(options, setup);
  if (basis.kind == timing::ClockLinkKind::kExchange) {
    basis.exchanges = exchanges_of(options, folder);
  }
  basis.scan_out_prior = !options.no_scan_out_prior;
  basis.scan_out_share = options.scan_out_share;
  return report::make_result(timing::split_presses(timings, log, basis), timings, log);
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

}  // namespace thumblight::commands
