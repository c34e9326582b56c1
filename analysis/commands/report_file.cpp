#include "analysis/commands/report_file.hpp"

#include <filesystem>

#include "analysis/commands/read_session.hpp"
#include "analysis/report/page/page.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

std::vector<report::Evidence> evidence_of(const std::vector<report::ComparedSession>& sessions) {
  std::vector<report::Evidence> evidence;
  evidence.reserve(sessions.size());
  for (const report::ComparedSession& session : sessions) {
    const fs::path path = session.path;
    evidence.push_back(
        report::read_evidence(fs::is_directory(path) ? path : path.parent_path(), session.result));
  }
  return evidence;
}

std::string page_of(std::vector<report::ComparedSession> sessions) {
  if (sessions.size() == 1) {
    return report::report_page(sessions, std::nullopt, evidence_of(sessions));
  }
  const report::ComparisonResult comparison = report::compare_sessions(std::move(sessions));
  return report::report_page(comparison.sessions, comparison, evidence_of(comparison.sessions));
}

}  // namespace

void write_report(const std::vector<std::string>& sessions, const LinkOptions& link,
                  std::optional<double> capture_rate_hz, const OutputFile& output,
                  const Streams& streams) {
  std::vector<report::ComparedSession> read;
  read.reserve(sessions.size());
  for (const std::string& session : sessions) {
    read.push_back(read_session(session, link, capture_rate_hz));
  }
  output.write(page_of(std::move(read)));
  if (!streams.quiet && !output.is_standard()) {
    write_standard(streams.out, "\nreport: " + output.path().string() + '\n');
  }
}

}  // namespace thumblight::commands
