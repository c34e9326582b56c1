#include "harness/program.hpp"

#include <filesystem>
#include <iostream>

#include "harness/dialogue.hpp"
#include "harness/options.hpp"
#include "harness/run/patch_place.hpp"
#include "harness/run/run.hpp"
#include "harness/run/warm_up.hpp"
#include "harness/self_check.hpp"
#include "harness/session/error.hpp"
#include "harness/session/writer.hpp"
#include "harness/system/control_names.hpp"
#include "harness/system/host_facts.hpp"
#include "harness/system/stage.hpp"

namespace thumblight::harness {
namespace {

constexpr char kLogName[] = "session.jsonl";
constexpr int kWarmUpFrames = 60;

std::int64_t nanoseconds(double ms) {
  return static_cast<std::int64_t>(ms * kMillisecond_ns);
}

/// The session's folder, made before anything else, so that a place that cannot be written is told
/// first. Where nothing is recorded in it, it goes again.
class SessionFolder {
 public:
  explicit SessionFolder(const Options& options)
      : path_(options.out.empty() ? std::filesystem::path("session-" + utc_now(true))
                                  : options.out) {
    std::error_code error;
    made_here_ = std::filesystem::create_directories(path_, error);
    if (error) {
      throw Error("--out " + path_.string() + ": the folder cannot be made: " + error.message());
    }
    if (std::filesystem::exists(path_ / kLogName)) {
      throw Error("--out " + path_.string() +
                  ": holds a session already; name another folder, nothing is written over");
    }
  }
  SessionFolder(const SessionFolder&) = delete;
  SessionFolder& operator=(const SessionFolder&) = delete;
  ~SessionFolder() {
    if (made_here_) {
      std::error_code not_empty;
      std::filesystem::remove(path_, not_empty);
    }
  }

  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
  bool made_here_ = false;
};

int exit_code_of(Answer answer) {
  return answer == Answer::kInterrupted ? kExitInterrupted : kExitGood;
}

/// The control that an option names; throws `Error` where there is none of that name.
std::optional<Control> named_control(const Options& options, const Stage& stage) {
  return options.control.empty() ? std::nullopt
                                 : std::optional(parse_control(options.control, stage.devices));
}

/// The control under test, asked for where no option names it.
Learned find_control(const std::optional<Control>& named, Stage& stage) {
  if (named) {
    return {Answer::kGoOn, *named};
  }
  return learn_control(stage.clock, stage.input, *stage.screen, escape_key());
}

/// From here on only the device of the control matters.
void settle_devices(const Control& control, bool with_devices, SdlDevices& devices) {
  if (control.device) {
    devices.remember(*control.device);
  } else if (with_devices) {
    devices.shut_down();
  }
}

session::Header make_header(const Options& options, const Control& control, Stage& stage,
                            const session::Display& display) {
  session::Header header;
  header.started_utc = utc_now();
  header.clock = counter_name();
  header.clock_resolution_ns = stage.clock.resolution_ns();
  header.host = describe_host();
  header.display = display;
  const Rect& patch = stage.screen->patch();
  header.patch = {patch.x,
                  patch.y,
                  patch.w,
                  patch.h,
                  options.bright_level,
                  options.dark_level,
                  nanoseconds(options.hold_ms),
                  nanoseconds(options.rest_ms)};
  header.pacing = name_of(options.pacing);
  header.input = describe_input(control, stage.devices);
  header.input.waiting = stage.input.waiting();
  header.labels = options.labels;
  return header;
}

RunSettings make_settings(const Options& options, const Control& control, const Stage& stage,
                          const session::Header& header) {
  RunSettings settings;
  settings.control = control;
  settings.control_name = spoken_name(control, stage.devices);
  settings.log_name = header.input.control;
  settings.device_name = header.input.device;
  settings.patch = stage.screen->patch();
  settings.bright_level = options.bright_level;
  settings.dark_level = options.dark_level;
  settings.hold_ns = header.patch.hold_ns;
  settings.rest_ns = header.patch.rest_ns;
  settings.presses_wanted = options.presses;
  settings.pacing = options.pacing;
  settings.interval_ns = pacing_interval_ns(header.display);
  return settings;
}

RunSummary run_session(const Options& options, const Control& control, Stage& stage, Lamp* lamp,
                       const std::filesystem::path& folder) {
  SdlScreen& screen = *stage.screen;
  screen.set_page(wait_page(screen.size(), screen.patch()));
  session::Display display = describe_display(stage.window, screen);
  display.measured_interval =
      warm_up(screen, options.dark_level, display.vsync ? kWarmUpFrames : 0);
  const session::Header header = make_header(options, control, stage, display);
  session::Writer log(session::create_append_file(folder / kLogName));
  Run run(make_settings(options, control, stage, header), stage.clock, stage.input, screen, log,
          stage.devices, lamp);
  run.arm();
  log.write(header);
  RunSummary summary = run.execute();
  log.finish();
  summary.folder = folder.string();
  return summary;
}

int run_stage(const Options& options) {
  const std::unique_ptr<Lamp> lamp = options.lamp ? open_lamp(*options.lamp) : nullptr;
  const SessionFolder folder(options);
  const bool with_devices = options.control.empty() || needs_device(options.control);
  Stage stage(options.window, options.axis_share, with_devices);
  const std::optional<Control> named = named_control(options, stage);
  stage.screen->set_patch(
      place_patch(stage.screen->size(), options.patch_place, options.patch_percent));
  if (!options.caution_read) {
    const Answer answer = ask_caution(stage.clock, stage.input, *stage.screen);
    if (answer != Answer::kGoOn) {
      return exit_code_of(answer);
    }
  }
  const Learned learned = find_control(named, stage);
  if (!learned.control) {
    return exit_code_of(learned.answer);
  }
  settle_devices(*learned.control, with_devices, stage.devices);
  const RunSummary summary =
      run_session(options, *learned.control, stage, lamp.get(), folder.path());
  std::cout << summary_text(summary);
  if (const std::string warning = lamp_warning(summary); !warning.empty()) {
    std::cerr << "thumblight-harness: " << warning << '\n';
  }
  if (summary.reason == "interrupted") {
    return kExitInterrupted;
  }
  if (options.show_end && summary.reason != "closed") {
    const Page page = end_page(stage.screen->size(), summary);
    return exit_code_of(wait_for_any(stage.clock, stage.input, *stage.screen, page));
  }
  return kExitGood;
}

}  // namespace

int run_program(int argc, const char* const* argv) {
  const Parsed parsed = parse_options(argc, argv);
  if (parsed.exit_code) {
    return *parsed.exit_code;
  }
  if (parsed.options.list) {
    const SdlLibrary library(SDL_INIT_VIDEO | SDL_INIT_GAMECONTROLLER);
    std::cout << list_of_hardware();
    return kExitGood;
  }
  if (parsed.options.self_check) {
    self_check(parsed.options, std::cout);
    return kExitGood;
  }
  return run_stage(parsed.options);
}

}  // namespace thumblight::harness
