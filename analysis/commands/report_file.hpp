#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/split_session.hpp"
#include "analysis/commands/verbs.hpp"

namespace thumblight::commands {

inline constexpr char kReportName[] = "report.html";

/// Writes the report of a session, or of several compared, and says where it is. Each is a folder
/// or the result.json in it; see `read_session`.
void write_report(const std::vector<std::string>& sessions, const LinkOptions& link,
                  std::optional<double> capture_rate_hz, const OutputFile& output,
                  const Streams& streams);

}  // namespace thumblight::commands
