#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <random>

#include "analysis/commands/campaign_folder.hpp"
#include "analysis/commands/measure_session.hpp"
#include "analysis/commands/output_file.hpp"
#include "analysis/commands/progress_line.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/session_lock.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/marks/again.hpp"
#include "analysis/marks/merge.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "analysis/recording/stream_opener.hpp"
#include "analysis/review/review.hpp"
#include "analysis/review/window.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr char kReviewExamples[] =
    "Examples:\n"
    "  thumblight-analysis review evening-1\n"
    "  thumblight-analysis review evening-1 --again          # the earlier marks are hidden\n"
    "  thumblight-analysis review wired wireless --blind     # mixed, and named nowhere\n"
    "  thumblight-analysis review evenings --blind           # all sessions of a campaign";

struct ReviewOptions {
  std::vector<std::string> folders;
  bool again = false;
  bool blind = false;
};

std::vector<fs::path> sessions_of(const ReviewOptions& options) {
  std::vector<fs::path> sessions;
  for (const std::string& folder : options.folders) {
    require_folder(folder);
    if (options.blind && is_campaign(folder)) {
      const std::vector<fs::path> inside = sessions_in(folder);
      sessions.insert(sessions.end(), inside.begin(), inside.end());
    } else {
      sessions.emplace_back(folder);
    }
  }
  if (sessions.size() > 1 && !options.blind) {
    throw UsageError("review shows one session at a time; several are mixed with --blind");
  }
  return sessions;
}

fs::path pictures_of(const fs::path& folder, const onset::Setup& setup) {
  const fs::path recording = find_recording(folder, setup.recording);
  if (recording.empty()) {
    throw Error(folder.string() +
                ": holds no recording, so there are no frames to be looked at; put the video into "
                "it");
  }
  const bool has_pictures = fs::is_directory(recording) ||
                            (recording.extension() != ".csv" &&
                             recording::has_stream(*recording::open_input(recording), true));
  if (!has_pictures) {
    throw Error(recording.string() +
                ": holds no pictures to be looked at; review is for videos and images");
  }
  return recording;
}

/// What was found in the recording; one that was not read yet is measured first. Where nothing can
/// be found by itself, a person still may.
onset::Timings found_in(const fs::path& folder, const fs::path& recording, const Streams& streams) {
  const fs::path file = folder / "timings.json";
  if (!fs::exists(file)) {
    try {
      const SessionLock lock = SessionLock::wait(folder);
      measure_session(folder, {}, {streams.out, streams.err, true, streams.progress});
    } catch (const Error& error) {
      if (!streams.quiet) {
        streams.err << "nothing was found by itself: " << error.what() << '\n';
      }
    }
  }
  return fs::exists(file) ? onset::read_timings(file)
                          : marks::nothing_found(recording, "the recording was not read");
}

std::optional<std::int64_t> counted_frames(const onset::Timings& found) {
  const std::optional<onset::CameraInfo>& camera = found.recording.camera;
  const bool is_faultless = camera && camera->faults == 0 && camera->odd_stamps == 0;
  return is_faultless ? std::optional<std::int64_t>(camera->frames) : std::nullopt;
}

std::optional<double> capture_rate(const onset::Timings& found, const onset::Setup& setup) {
  const onset::RecordingClock& clock = found.recording.clock;
  return clock.source == "capture-rate" ? clock.nominal_hz : setup.capture_rate_hz;
}

std::unique_ptr<review::ReviewedSession> open_session(const fs::path& folder,
                                                      const ReviewOptions& options,
                                                      const Streams& streams) {
  const SessionFiles files = session_files(folder);
  const onset::Setup setup = files.setup.empty() ? onset::Setup{} : onset::read_setup(files.setup);
  const fs::path recording = pictures_of(folder, setup);
  onset::Timings found = found_in(folder, recording, streams);
  ProgressLine line(streams.err, streams.progress, "counting frames");
  review::ReviewedFrames film = review::open_frames_of(
      recording, counted_frames(found), capture_rate(found, setup), [&line](std::int64_t frames) {
        line.tell(static_cast<double>(frames), std::nullopt);
        return true;
      });
  auto session = std::unique_ptr<review::ReviewedSession>(
      new review::ReviewedSession{folder, std::move(film), {folder, std::move(found)}});
  session->without_log = files.log.empty();
  if (options.again) {
    const marks::Again again = marks::look_again(session->marks.set());
    session->pass = again.pass;
    session->hides_rest = true;
    session->wanted = again.presses;
  }
  return session;
}

void require_something_to_see(const std::vector<std::unique_ptr<review::ReviewedSession>>& sessions,
                              const ReviewOptions& options) {
  const bool any = std::any_of(sessions.begin(), sessions.end(), [](const auto& session) {
    return !session->wanted || !session->wanted->empty();
  });
  if (options.again && !any) {
    throw Error(
        "nothing has been marked by hand yet, so there is nothing to look at again; review "
        "it without --again first");
  }
}

void tell_end(const std::vector<fs::path>& folders, const ReviewOptions& options,
              const Streams& streams) {
  if (streams.quiet) {
    return;
  }
  const std::string next = options.blind ? "the sessions or their campaign" : folders[0].string();
  write_standard(streams.out,
                 "Every mark is saved. 'thumblight-analysis measure' takes them into "
                 "the result; run it on " +
                     next + ".\n");
}

void run_review(const ReviewOptions& options, const Streams& streams) {
  const std::vector<fs::path> folders = sessions_of(options);
  review::require_display();
  std::vector<std::unique_ptr<review::ReviewedSession>> sessions;
  sessions.reserve(folders.size());
  for (const fs::path& folder : folders) {
    sessions.push_back(open_session(folder, options, streams));
  }
  require_something_to_see(sessions, options);
  const review::ReviewOptions look = {options.again, options.blind, std::random_device{}()};
  review::Review review(std::move(sessions), look);
  review::run_window(review);
  tell_end(folders, options, streams);
}

}  // namespace

Action add_review(CLI::App& app) {
  auto options = std::make_shared<ReviewOptions>();
  app.add_option("sessions", options->folders,
                 "Session folder; with --blind several, or a campaign of them")
      ->type_name("SESSION")
      ->required();
  app.add_flag("--again", options->again,
               "Look at the presses that were marked, with all that is known of them hidden: how "
               "far two looks differ is the uncertainty of a mark");
  app.add_flag("--blind", options->blind,
               "Mix the presses of several sessions, and name none of them");
  app.footer(kReviewExamples);
  return [options](const Streams& streams) { run_review(*options, streams); };
}

}  // namespace thumblight::commands
