#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <exception>
#include <filesystem>
#include <memory>
#include <mutex>
#include <sstream>
#include <system_error>
#include <thread>
#include <vector>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/program.hpp"
#include "analysis/commands/progress_line.hpp"
#include "analysis/commands/read_session.hpp"
#include "analysis/commands/report_file.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/rehearsal/rehearse.hpp"
#include "analysis/rehearsal/scenario.hpp"
#include "analysis/report/chart/chart.hpp"
#include "analysis/report/chart/png.hpp"
#include "analysis/report/comparison.hpp"
#include "analysis/report/comparison_json.hpp"
#include "analysis/report/wrap.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;
using rehearsal::ScenarioSession;

constexpr char kDemoExamples[] =
    "Examples:\n"
    "  thumblight-analysis demo arcade\n"
    "  thumblight-analysis demo arcade --sessions wren-wired-monitor,stick-monitor";

struct DemoOptions {
  std::string folder;
  std::vector<std::string> sessions;
};

/// Those that are asked for, or all.
std::vector<ScenarioSession> chosen(const std::vector<std::string>& names) {
  std::vector<ScenarioSession> sessions = rehearsal::demo_scenario().sessions;
  if (!names.empty()) {
    std::erase_if(sessions, [&names](const ScenarioSession& session) {
      return std::find(names.begin(), names.end(), session.folder) == names.end();
    });
  }
  return sessions;
}

std::vector<std::string> names_of_all() {
  std::vector<std::string> names;
  for (const ScenarioSession& session : rehearsal::demo_scenario().sessions) {
    names.push_back(session.folder);
  }
  return names;
}

/// Makes the session under another name first, so that a folder of its name is always whole.
void rehearse_whole(const ScenarioSession& session, const fs::path& folder) {
  if (fs::exists(folder / "truth.json")) {
    return;
  }
  if (fs::exists(folder)) {
    throw Error(folder.string() + ": is there already and no rehearsal; choose another folder");
  }
  const fs::path unfinished = folder.parent_path() / ("." + folder.filename().string() + ".part");
  fs::remove_all(unfinished);
  rehearsal::rehearse(session.settings, unfinished);
  fs::rename(unfinished, folder);
}

/// As a person would with the verb `measure`.
void measure_once(const ScenarioSession& session, const fs::path& folder) {
  if (fs::exists(folder / "result.json")) {
    return;
  }
  const std::string name = folder.string();
  std::vector<const char*> arguments = {"thumblight-analysis", "--quiet",   "measure",
                                        name.c_str(),          "--threads", "1"};
  if (!session.clock_link.empty()) {
    arguments.insert(arguments.end(), {"--clock-link", session.clock_link.c_str()});
  }
  std::ostringstream out;
  std::ostringstream err;
  if (run(static_cast<int>(arguments.size()), arguments.data(), {out, err}) != 0) {
    throw Error(name + ": cannot be measured: " + err.str());
  }
}

/// Makes and measures the sessions, as many at a time as there are cores; the first fault ends it.
class Workshop {
 public:
  Workshop(const std::vector<ScenarioSession>& sessions, fs::path folder, const Streams& streams)
      : sessions_(sessions),
        folder_(std::move(folder)),
        line_(streams.err, streams.progress, "rehearsing and measuring") {}

  void run_all() {
    const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
    std::vector<std::jthread> workers;
    for (std::size_t k = 0; k < std::min(cores, sessions_.size()); ++k) {
      workers.emplace_back([this] { work(); });
    }
    workers.clear();  // joins
    if (fault_) {
      std::rethrow_exception(fault_);
    }
  }

 private:
  void work() {
    try {
      for (std::size_t k = next_++; k < sessions_.size(); k = next_++) {
        const fs::path folder = folder_ / sessions_[k].folder;
        rehearse_whole(sessions_[k], folder);
        measure_once(sessions_[k], folder);
        const std::lock_guard guard(mutex_);
        line_.tell(static_cast<double>(++done_), static_cast<double>(sessions_.size()));
      }
    } catch (...) {
      next_ = sessions_.size();
      const std::lock_guard guard(mutex_);
      if (!fault_) {
        fault_ = std::current_exception();
      }
    }
  }

  const std::vector<ScenarioSession>& sessions_;
  fs::path folder_;
  std::atomic<std::size_t> next_{0};
  std::mutex mutex_;  ///< of what follows
  ProgressLine line_;
  std::size_t done_ = 0;
  std::exception_ptr fault_;
};

report::ComparisonResult compare_demo(const std::vector<ScenarioSession>& sessions,
                                      const fs::path& folder) {
  std::vector<report::ComparedSession> compared;
  compared.reserve(sessions.size());
  for (const ScenarioSession& session : sessions) {
    compared.push_back(read_session(folder / session.folder, {}, {}));
  }
  return report::compare_sessions(std::move(compared));
}

/// What is made of the measured sessions: every file that a reviewer takes away is named here, and
/// the answer told.
void finish_demo(const std::vector<ScenarioSession>& sessions, const fs::path& folder,
                 const Streams& streams) {
  const OutputFile json(folder / "comparison.json", streams.out);
  const OutputFile picture(folder / "set-ups.png", streams.out);
  const OutputFile page(folder / kReportName, streams.out);
  const report::ComparisonResult comparison = compare_demo(sessions, folder);
  json.write(report::encode_comparison_json(comparison));
  picture.write(report::chart::png_of(
      report::chart::comparison_chart(comparison, report::chart::ChartKind::kBars)));
  std::vector<std::string> names;
  names.reserve(sessions.size());
  for (const ScenarioSession& session : sessions) {
    names.push_back((folder / session.folder).string());
  }
  Streams silent = streams;
  silent.quiet = true;
  write_report(names, {}, {}, page, silent);
  if (!streams.quiet) {
    write_standard(streams.out,
                   std::to_string(sessions.size()) + " sessions in " + folder.string() + '\n' +
                       "every pair compared: " + json.path().string() + '\n' +
                       "all set-ups as a chart: " + picture.path().string() + '\n' +
                       "the report: " + page.path().string() + '\n' +
                       report::wrap("The answer: " + report::chart::finding(comparison) + ".",
                                    streams.columns));
  }
}

void run_demo(const DemoOptions& options, const Streams& streams) {
  const fs::path folder = options.folder;
  const std::vector<ScenarioSession> sessions = chosen(options.sessions);
  if (sessions.size() < 2) {
    throw UsageError("the demo compares sessions; name two or more with --sessions");
  }
  std::error_code fault;
  fs::create_directories(folder, fault);
  if (fault) {
    throw Error(folder.string() + ": the folder cannot be made: " + fault.message());
  }
  Workshop(sessions, folder, streams).run_all();
  finish_demo(sessions, folder, streams);
}

}  // namespace

Action add_demo(CLI::App& app) {
  auto options = std::make_shared<DemoOptions>();
  app.add_option("folder", options->folder,
                 "Folder to make; what is finished in it is kept, so that an interrupted demo goes "
                 "on where it was")
      ->required();
  app.add_option("--sessions", options->sessions, "These sessions alone")
      ->type_name("NAME,NAME")
      ->delimiter(',')
      ->check(CLI::IsMember(names_of_all()));
  app.footer(kDemoExamples);
  return [options](const Streams& streams) { run_demo(*options, streams); };
}

}  // namespace thumblight::commands
