#pragma once

#include <CLI/App.hpp>
#include <filesystem>
#include <optional>
#include <string>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/onset/timings.hpp"
#include "analysis/report/result.hpp"
#include "harness/session/records.hpp"

namespace thumblight::commands {

/// What ties the clocks, as the command line says it.
struct LinkOptions {
  std::string clock_link;  ///< empty: what timings and log allow
  std::string exchanges;   ///< file of exchanges beside those of the log
  std::string lamp_lag;    ///< MIN,MAX in milliseconds
  bool no_scan_out_prior = false;
  std::optional<double> scan_out_share;
};

void add_link_options(CLI::App& app, LinkOptions& options);

/// The portions of timings and log (null: none). Exchanges are also read from exchange.csv in
/// `folder` (empty: none), and the lamp's lag from `setup`. Throws `UsageError` for a link that
/// needs a log.
report::Result split_session(const onset::Timings& timings, const session::Log* log,
                             const LinkOptions& options, const onset::Setup& setup,
                             const std::filesystem::path& folder);

/// Writes the result as JSON where there is an output, and tells of it on the terminal.
void put_result(const report::Result& result, const std::optional<OutputFile>& output,
                const Streams& streams);

}  // namespace thumblight::commands
