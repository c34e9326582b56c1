#pragma once

#include <optional>
#include <string>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/onset/timings.hpp"
#include "analysis/report/result.hpp"
#include "harness/session/records.hpp"

namespace thumblight::commands {

/// The portions of timings and log (null: none). `clock_link` names one of shared, causality and
/// none; empty takes what timings and log allow. Throws `UsageError` for a link that needs a log.
report::Result split_session(const onset::Timings& timings, const session::Log* log,
                             const std::string& clock_link);

/// Writes the result as JSON where there is an output, and tells of it on the terminal.
void put_result(const report::Result& result, const std::optional<OutputFile>& output,
                const Streams& streams);

/// The option --clock-link.
void add_clock_link(CLI::App& app, std::string& clock_link);

}  // namespace thumblight::commands
