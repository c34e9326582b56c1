#include "tests/bench/virtual_display.hpp"

#include <X11/Xlib.h>

#include <fstream>
#include <iterator>

#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"

namespace thumblight::bench {
namespace {

constexpr double kStartTimeoutS = 20;

std::string contents(const std::filesystem::path& file) {
  std::ifstream input(file);
  return {std::istreambuf_iterator<char>(input), {}};
}

ChildPlan server_plan(Size size, const std::filesystem::path& folder) {
  const std::string geometry = text_of(size) + "x24";
  ChildPlan plan;
  plan.program = "Xvfb";
  // -displayfd 1: the number goes to the output file. -noreset: the screen outlives its clients.
  plan.arguments = {"-displayfd",    "1",         "-screen", "0",       geometry, "-fbdir",
                    folder.string(), "-nolisten", "tcp",     "-noreset"};
  plan.stdout_file = folder / "display";
  plan.stderr_file = folder / "errors";
  return plan;
}

/// The display number, once the server has written its whole line.
std::string wait_for_number(ChildProcess& server, const std::filesystem::path& folder) {
  const std::int64_t deadline_ns = monotonic_raw_ns() + ns_of_s(kStartTimeoutS);
  while (monotonic_raw_ns() < deadline_ns && !server.exit_code()) {
    const std::string text = contents(folder / "display");
    if (!text.empty() && text.back() == '\n') {
      return text.substr(0, text.size() - 1);
    }
    sleep_ns(5 * kNsPerMs);
  }
  throw Error("Xvfb did not start: " + contents(folder / "errors"));
}

void wait_for_answer(const std::string& name) {
  const std::int64_t deadline_ns = monotonic_raw_ns() + ns_of_s(kStartTimeoutS);
  while (monotonic_raw_ns() < deadline_ns) {
    if (Display* display = XOpenDisplay(name.c_str())) {
      XCloseDisplay(display);
      return;
    }
    sleep_ns(5 * kNsPerMs);
  }
  throw Error("Xvfb on display " + name + " does not answer");
}

}  // namespace

std::string text_of(Size size) {
  return std::to_string(size.width) + "x" + std::to_string(size.height);
}

VirtualDisplay::VirtualDisplay(Size size)
    : server_(std::make_unique<ChildProcess>(server_plan(size, folder_.path()))),
      name_(":" + wait_for_number(*server_, folder_.path())) {
  wait_for_answer(name_);
  screen_ = std::make_unique<Framebuffer>(screen_file());
}

std::filesystem::path VirtualDisplay::screen_file() const {
  return folder_.path() / "Xvfb_screen0";
}

}  // namespace thumblight::bench
