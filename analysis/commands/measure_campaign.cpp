#include "analysis/commands/measure_campaign.hpp"

#include <algorithm>
#include <mutex>
#include <new>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>
#include <thread>
#include <vector>

#include "analysis/commands/campaign_folder.hpp"
#include "analysis/commands/input_record.hpp"
#include "analysis/commands/progress_line.hpp"
#include "analysis/commands/result_file.hpp"
#include "analysis/commands/session_lock.hpp"
#include "analysis/report/campaign_words.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/result_reader.hpp"
#include "analysis/report/session_names.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

/// A reading takes some 80 MB, and more of them at once than this gain little.
constexpr std::size_t kMostJobs = 8;

/// Whether the session has a result made from its present inputs with these options.
bool has_result(const fs::path& session, const std::string& options) {
  const fs::path file = session / "result.json";
  if (!fs::exists(file)) {
    return false;
  }
  try {
    const auto made_from = report::read_provenance(read_result_json(file), file.string());
    return made_from && made_from->program == THUMBLIGHT_VERSION && made_from->options == options &&
           inputs_unchanged(session, *made_from);
  } catch (const Error&) {
    return false;  // whatever is wrong with it, measuring says or mends it
  }
}

std::string line_of(const fs::path& session, const report::Result& result) {
  const report::PortionResult& total = result.portions[timing::Portion::kTotal];
  report::PortionMean mean;
  std::size_t n = 0;
  if (total.summary) {
    mean.mean_ms = total.summary->mean;
    mean.interval = total.mean_interval;
    n = total.summary->n;
  }
  std::string line = report::folder_name(session.string()) + ": total " + report::mean_text(mean) +
                     " ms, " + report::counted(n);
  const std::size_t warnings = result.split.warnings.size();
  if (warnings > 0) {
    line += ", " + std::to_string(warnings) + (warnings == 1 ? " warning" : " warnings");
  }
  return line + '\n';
}

/// The work on one campaign, by several threads.
class CampaignRun {
 public:
  CampaignRun(std::vector<fs::path> sessions, MeasureOptions options, const Streams& streams)
      : sessions_(std::move(sessions)),
        options_(std::move(options)),
        options_text_(text_of(options_)),
        streams_(streams),
        progress_(streams.err, streams.progress, "measuring") {}

  void run(std::size_t jobs) {
    {
      std::vector<std::jthread> threads;  // joined at the end of this block
      for (std::size_t k = 1; k < jobs; ++k) {
        threads.emplace_back([this] { work(); });
      }
      work();
    }
    for (const fs::path& session : left_to_others_) {
      guarded(session, [&] { measure_if_due(session, SessionLock::wait(session)); });
    }
  }

  void tell() {
    progress_.clear();
    if (!streams_.quiet) {
      streams_.out << sessions_.size() << (sessions_.size() == 1 ? " session: " : " sessions: ")
                   << measured_ << " measured, " << as_it_was_ << " up to date, " << broken_
                   << " broken\n"
                   << std::flush;
    }
    if (broken_ > 0) {
      throw Error(std::to_string(broken_) + " of " + std::to_string(sessions_.size()) +
                  " sessions could not be measured; each is named above with its fault");
    }
  }

 private:
  std::optional<fs::path> next() {
    const std::lock_guard<std::mutex> hold(mutex_);
    if (begun_ == sessions_.size()) {
      return std::nullopt;
    }
    return sessions_[begun_++];
  }

  void work() {
    while (const std::optional<fs::path> session = next()) {
      guarded(*session, [&] {
        std::optional<SessionLock> lock = SessionLock::attempt(*session);
        if (lock) {
          measure_if_due(*session, *lock);
        } else {
          const std::lock_guard<std::mutex> hold(mutex_);
          left_to_others_.push_back(*session);
        }
      });
    }
  }

  template <typename Work>
  void guarded(const fs::path& session, const Work& work) {
    try {
      work();
    } catch (const std::bad_alloc&) {
      break_off(session, "out of memory; close other programs, or measure fewer at once (--jobs)");
    } catch (const std::exception& error) {
      break_off(session, error.what());
    }
  }

  /// The lock is held by the caller, and named here so that nobody comes without.
  void measure_if_due(const fs::path& session, const SessionLock& /*held*/) {
    if (has_result(session, options_text_)) {
      count(as_it_was_, "");
      return;
    }
    std::ostringstream unheard;
    const Streams silent{unheard, unheard, true};
    count(measured_, line_of(session, measure_session(session, options_, silent)));
  }

  void count(std::size_t& which, const std::string& line) {
    const std::lock_guard<std::mutex> hold(mutex_);
    ++which;
    if (!streams_.quiet && !line.empty()) {
      progress_.clear();
      streams_.out << line << std::flush;
    }
    progress_.tell(static_cast<double>(measured_ + as_it_was_ + broken_),
                   static_cast<double>(sessions_.size()));
  }

  void break_off(const fs::path& session, const std::string& fault) {
    const std::lock_guard<std::mutex> hold(mutex_);
    ++broken_;
    progress_.clear();
    streams_.err << "broken: " << report::folder_name(session.string()) << ": "
                 << report::printable(fault) << '\n'
                 << std::flush;
  }

  std::vector<fs::path> sessions_;
  MeasureOptions options_;
  std::string options_text_;
  Streams streams_;
  ProgressLine progress_;
  std::mutex mutex_;
  std::size_t begun_ = 0;
  std::vector<fs::path> left_to_others_;
  std::size_t measured_ = 0;
  std::size_t as_it_was_ = 0;
  std::size_t broken_ = 0;
};

}  // namespace

void measure_campaign(const fs::path& campaign, const MeasureOptions& options, std::size_t jobs,
                      const Streams& streams) {
  std::vector<fs::path> sessions = sessions_in(campaign);
  const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
  const std::size_t at_once =
      std::min(jobs > 0 ? jobs : std::min(cores, kMostJobs), sessions.size());
  MeasureOptions each = options;
  if (each.of_recording.threads == 0) {
    // The cores are shared out: as many threads decode as there are cores, in all sessions
    // together.
    each.of_recording.threads = static_cast<int>(std::max<std::size_t>(1, cores / at_once));
  }
  CampaignRun run(std::move(sessions), each, streams);
  run.run(at_once);
  run.tell();
}

}  // namespace thumblight::commands
