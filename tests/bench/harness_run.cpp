#include "tests/bench/harness_run.hpp"

#include <csignal>
#include <fstream>
#include <iterator>

#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"
#include "tests/bench/clock.hpp"

namespace thumblight::bench {
namespace {

constexpr double kArmTimeoutS = 30;
constexpr double kEndTimeoutS = 10;

std::filesystem::path beside(const std::filesystem::path& folder, const std::string& ending) {
  return folder.string() + ending;
}

std::string contents(const std::filesystem::path& file) {
  std::ifstream input(file);
  return {std::istreambuf_iterator<char>(input), {}};
}

ChildPlan child_plan(const VirtualDisplay& display, const HarnessPlan& plan) {
  ChildPlan child;
  child.program = plan.program;
  child.arguments = arguments_of(plan);
  child.environment = {{"DISPLAY", display.name()}, {"SDL_VIDEODRIVER", "x11"}};
  std::filesystem::create_directories(plan.folder.parent_path());
  child.stdout_file = beside(plan.folder, ".stdout.txt");
  child.stderr_file = beside(plan.folder, ".stderr.txt");
  return child;
}

}  // namespace

std::vector<std::string> arguments_of(const HarnessPlan& plan) {
  std::vector<std::string> arguments = {"--out",
                                        plan.folder.string(),
                                        "--caution-read",
                                        "--control",
                                        "key:space",
                                        "--presses",
                                        std::to_string(plan.presses),
                                        "--pacing",
                                        plan.pacing,
                                        "--renderer",
                                        plan.renderer,
                                        "--vsync",
                                        plan.vsync ? "on" : "off",
                                        "--hold-ms",
                                        std::to_string(plan.hold_ms),
                                        "--rest-ms",
                                        std::to_string(plan.rest_ms),
                                        "--label",
                                        plan.label,
                                        "--end-screen",
                                        "skip"};
  if (plan.window) {
    arguments.insert(arguments.end(), {"--window", text_of(*plan.window)});
  }
  return arguments;
}

HarnessRun::HarnessRun(const VirtualDisplay& display, const HarnessPlan& plan)
    : display_(display),
      folder_(plan.folder),
      process_(child_plan(display, plan)),
      injector_(display.name(), "space") {
  header_ = wait_armed();
  window_ = injector_.focus_program();
  const session::Display& claimed = header_.display;
  if (window_.width != claimed.width || window_.height != claimed.height) {
    throw Error("the harness draws " + text_of({claimed.width, claimed.height}) +
                " but its window is " + text_of({window_.width, window_.height}));
  }
}

session::Header HarnessRun::wait_armed() {
  const std::filesystem::path file = folder_ / "session.jsonl";
  const std::int64_t deadline_ns = monotonic_raw_ns() + ns_of_s(kArmTimeoutS);
  while (monotonic_raw_ns() < deadline_ns && !process_.exit_code()) {
    if (contents(file).find('\n') != std::string::npos) {
      return session::read_log(file).header;
    }
    sleep_ns(10 * kNsPerMs);
  }
  throw Error("the harness of '" + folder_.string() +
              "' was not armed in time: " + contents(beside(folder_, ".stderr.txt")));
}

PixelAddress HarnessRun::patch_centre() const {
  const session::Patch& patch = header_.patch;
  return display_.screen().at(window_.x + patch.x + patch.w / 2, window_.y + patch.y + patch.h / 2);
}

int HarnessRun::halfway_level() const {
  return (header_.patch.dark_level + header_.patch.bright_level) / 2;
}

int HarnessRun::finish(double patience_s) {
  if (!process_.wait(patience_s)) {
    process_.send(SIGTERM);
  }
  const std::optional<int> code = process_.wait(kEndTimeoutS);
  if (!code) {
    throw Error("the harness of '" + folder_.string() + "' does not end when asked to");
  }
  return *code;
}

}  // namespace thumblight::bench
