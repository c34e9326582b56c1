#include "harness/self_check.hpp"

#include <SDL.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <random>
#include <thread>
#include <vector>

#include "harness/run/lamp_switch.hpp"
#include "harness/run/patch_place.hpp"
#include "harness/run/run.hpp"
#include "harness/run/warm_up.hpp"
#include "harness/session/error.hpp"
#include "harness/system/control_names.hpp"
#include "harness/system/host_facts.hpp"
#include "harness/system/stage.hpp"

namespace thumblight::harness {
namespace {

constexpr int kPresses = 30;
constexpr int kFrames = 120;
constexpr int kButton = 0;
constexpr std::int64_t kHold_ns = 20 * kMillisecond_ns;
constexpr int kLampFlashes = 10;
constexpr std::chrono::milliseconds kLampPause(250);  // two flashes a second

/// SDL's virtual controller, plugged in for as long as this lives.
class VirtualPad {
 public:
  explicit VirtualPad(Clock& clock) : clock_(clock) {
    SDL_VirtualJoystickDesc description = {};
    description.version = SDL_VIRTUAL_JOYSTICK_DESC_VERSION;
    description.type = SDL_JOYSTICK_TYPE_GAMECONTROLLER;
    description.naxes = SDL_CONTROLLER_AXIS_MAX;
    description.nbuttons = SDL_CONTROLLER_BUTTON_MAX;
    description.name = "Self-check";
    index_ = SDL_JoystickAttachVirtualEx(&description);
    joystick_ = index_ < 0 ? nullptr : SDL_JoystickOpen(index_);
    if (joystick_ == nullptr) {
      throw Error(std::string("no virtual controller can be had, so nothing can be checked: ") +
                  SDL_GetError());
    }
  }
  ~VirtualPad() {
    SDL_JoystickClose(joystick_);
    SDL_JoystickDetachVirtual(index_);
  }
  VirtualPad(const VirtualPad&) = delete;
  VirtualPad& operator=(const VirtualPad&) = delete;

  int instance() const { return SDL_JoystickInstanceID(joystick_); }

  /// Gives the moment just before the press was there to be seen.
  std::int64_t press() {
    const std::int64_t pushed_ns = clock_.now_ns();
    SDL_JoystickSetVirtualButton(joystick_, kButton, SDL_PRESSED);
    return pushed_ns;
  }
  void release() { SDL_JoystickSetVirtualButton(joystick_, kButton, SDL_RELEASED); }

 private:
  Clock& clock_;
  int index_ = -1;
  SDL_Joystick* joystick_ = nullptr;
};

/// Keeps the presses of a run in memory.
class PressList : public session::Sink {
 public:
  void write(const session::Record& record) override {
    if (const auto* press = std::get_if<session::Press>(&record)) {
      presses.push_back(*press);
    }
  }
  std::vector<session::Press> presses;
};

class NoDevices : public DeviceMatcher {
 public:
  bool same_device(int) override { return false; }
};

struct Delay {
  double median_ms = 0;
  double worst_ms = 0;
};

struct PacingCheck {
  PacingKind pacing = PacingKind::kOnPress;
  int pushed = 0;
  int arrived = 0;
  Delay arrival;
  Delay submit;
  Delay present;
};

Delay delay_of(const std::vector<std::int64_t>& delays_ns) {
  const auto delays = intervals_of(delays_ns);
  return delays ? Delay{static_cast<double>(delays->median_ns) / kMillisecond_ns,
                        static_cast<double>(delays->max_ns) / kMillisecond_ns}
                : Delay{};
}

/// Presses at uneven moments from a thread of its own, as a hand would, then ends the run.
std::vector<std::int64_t> push_presses(VirtualPad& pad, const std::atomic<bool>& over) {
  std::minstd_rand random(1);
  const auto sleep_ms = [](int ms) { std::this_thread::sleep_for(std::chrono::milliseconds(ms)); };
  std::vector<std::int64_t> pushed_ns;
  sleep_ms(100);
  for (int press = 0; press < kPresses && !over; ++press) {
    pushed_ns.push_back(pad.press());
    sleep_ms(25);
    pad.release();
    std::this_thread::sleep_for(std::chrono::microseconds(60'000 + random() % 50'000));
  }
  sleep_ms(100);
  if (!over) {
    SDL_Event quit = {};
    quit.type = SDL_QUIT;
    SDL_PushEvent(&quit);
  }
  return pushed_ns;
}

PacingCheck check_pacing(PacingKind pacing, Stage& stage, VirtualPad& pad,
                         const session::Display& display) {
  RunSettings settings;
  settings.control = {Source::kButton, kButton, 0, pad.instance()};
  settings.control_name = "nothing: this is a check, nothing flashes";
  settings.patch = stage.screen->patch();
  settings.bright_level = 0;  // dark on dark
  settings.dark_level = 0;
  settings.hold_ns = kHold_ns;
  settings.presses_wanted = kPresses;
  settings.pacing = pacing;
  settings.interval_ns = pacing_interval_ns(display);
  PressList list;
  NoDevices no_devices;
  Run run(settings, stage.clock, stage.input, *stage.screen, list, no_devices);
  run.arm();
  std::atomic<bool> over = false;
  std::vector<std::int64_t> pushed_ns;
  std::thread pusher([&] { pushed_ns = push_presses(pad, over); });
  run.execute();
  over = true;
  pusher.join();

  PacingCheck check;
  check.pacing = pacing;
  check.pushed = static_cast<int>(pushed_ns.size());
  check.arrived = static_cast<int>(list.presses.size());
  std::vector<std::int64_t> arrival;
  std::vector<std::int64_t> submit;
  std::vector<std::int64_t> present;
  for (std::size_t i = 0; i < std::min(pushed_ns.size(), list.presses.size()); ++i) {
    const session::Press& press = list.presses[i];
    arrival.push_back(press.arrival_ns - pushed_ns[i]);
    submit.push_back(press.submit_ns.value_or(press.arrival_ns) - pushed_ns[i]);
    present.push_back(press.present_ns.value_or(press.arrival_ns) - pushed_ns[i]);
  }
  check.arrival = delay_of(arrival);
  check.submit = delay_of(submit);
  check.present = delay_of(present);
  return check;
}

std::string format(const char* pattern, double a) {
  std::array<char, 64> text = {};
  std::snprintf(text.data(), text.size(), pattern, a);
  return text.data();
}

std::string ms(std::int64_t ns) {
  return format("%.2f", static_cast<double>(ns) / kMillisecond_ns);
}

void print_facts(const session::Host& host, const session::Display& display,
                 std::int64_t resolution_ns, std::ostream& out) {
  out << "Self-check: " << host.platform << ", SDL " << host.sdl_version << ", video "
      << host.video_driver << ", renderer " << display.renderer << ", vsync "
      << (display.vsync ? "on" : "off") << ", " << display.width << "x" << display.height
      << (display.fullscreen ? " full screen" : " window") << ", build " << host.build_type
      << "\n\n";
  out << "  counter   " << counter_name() << ", steps of " << resolution_ns << " ns\n";
  out << "  refresh   "
      << (display.refresh_hz ? "stated " + format("%.2f Hz", *display.refresh_hz)
                             : std::string("the system states none"));
  if (display.measured_interval) {
    const session::Intervals& measured = *display.measured_interval;
    out << "; frames came back every " << ms(measured.median_ns) << " ms (from "
        << ms(measured.min_ns) << " to " << ms(measured.max_ns) << ")";
  }
  out << "\n\n";
}

void print_lamp(const LampChoice& choice, const session::Intervals& switches, std::ostream& out) {
  const auto thousandths = [](std::int64_t ns) {
    return format("%.3f", static_cast<double>(ns) / kMillisecond_ns);
  };
  out << "  lamp      " << text_of(choice) << ", a switch takes " << thousandths(switches.median_ns)
      << " ms in the median (from " << thousandths(switches.min_ns) << " to "
      << thousandths(switches.max_ns)
      << ");\n            the frame waits for it, and its light may come before or after\n\n";
}

void print_pacings(const std::vector<PacingCheck>& checks, std::ostream& out) {
  out << "  ms from a press being there:  arrival stamp     submit            present returned\n"
         "  pacing        presses         median   worst    median   worst    median   worst\n";
  for (const PacingCheck& check : checks) {
    std::array<char, 128> line = {};
    std::snprintf(line.data(), line.size(),
                  "  %-12s  %3d of %-3d    %9.2f %7.2f %9.2f %7.2f %9.2f %7.2f\n",
                  std::string(name_of(check.pacing)).c_str(), check.arrived, check.pushed,
                  check.arrival.median_ms, check.arrival.worst_ms, check.submit.median_ms,
                  check.submit.worst_ms, check.present.median_ms, check.present.worst_ms);
    out << line.data();
  }
  out << '\n';
}

std::string judge_arrivals(const PacingCheck& on_press) {
  if (on_press.arrived < on_press.pushed) {
    return "NOT FIT: " + std::to_string(on_press.pushed - on_press.arrived) + " of " +
           std::to_string(on_press.pushed) +
           " presses never arrived; close other programs and check again.";
  }
  if (on_press.arrival.worst_ms > 5) {
    return "DOUBTFUL: a press was stamped up to " + format("%.1f", on_press.arrival.worst_ms) +
           " ms late; the machine is busy or saves power. Close other programs and check again.";
  }
  return "Fit: a controller's press is stamped " + format("%.2f", on_press.arrival.median_ms) +
         " ms after it is there, " + format("%.2f", on_press.arrival.worst_ms) +
         " at worst. Differences between controllers below that cannot be told here.";
}

std::string judge_loop(const PacingCheck& frame_start) {
  return "For comparison: an ordinary game loop here stamps a press " +
         format("%.2f", frame_start.arrival.median_ms) + " ms late in the median, " +
         format("%.2f", frame_start.arrival.worst_ms) + " at worst (pacing frame-start).";
}

std::string judge_refresh(const session::Display& display) {
  if (!display.vsync || !display.measured_interval) {
    return "Presenting does not wait for the refresh: times on the screen are fit to measure with "
           "a "
           "camera, but nothing here tells when the refresh came.";
  }
  if (!display.refresh_hz) {
    return "DOUBTFUL: the system states no refresh rate, so the pace of " +
           ms(display.measured_interval->median_ns) + " ms may be a timer's and not the screen's.";
  }
  const double stated_ms = 1000 / *display.refresh_hz;
  const double measured_ms =
      static_cast<double>(display.measured_interval->median_ns) / kMillisecond_ns;
  if (std::abs(measured_ms - stated_ms) > 0.05 * stated_ms) {
    return "DOUBTFUL: frames come back every " + format("%.2f", measured_ms) +
           " ms, but the stated refresh is every " + format("%.2f", stated_ms) +
           " ms; check the mode, or whether a compositor stands between.";
  }
  return "Fit: presenting follows the stated refresh.";
}

void print_judgement(const session::Host& host, const session::Display& display,
                     std::int64_t resolution_ns, const std::vector<PacingCheck>& checks,
                     std::ostream& out) {
  out << "What is fit to measure here\n";
  out << "  - " << judge_arrivals(checks.front()) << '\n';
  out << "  - " << judge_loop(checks.back()) << '\n';
  out << "  - " << judge_refresh(display) << '\n';
  if (resolution_ns > 100'000) {
    out << "  - NOT FIT: the counter's steps of " << ms(resolution_ns)
        << " ms are too coarse for single milliseconds.\n";
  }
  if (host.video_driver == "dummy" || host.video_driver == "offscreen") {
    out << "  - NOT FIT for light: the video driver '" << host.video_driver
        << "' shows nothing. Arrivals can be measured, the screen cannot.\n";
  }
  if (host.build_type == "Debug") {
    out << "  - DOUBTFUL: this is a debug build; build with the preset 'release' to measure.\n";
  }
}

}  // namespace

void self_check(const Options& options, std::ostream& out) {
  const std::unique_ptr<Lamp> lamp = options.lamp ? open_lamp(*options.lamp) : nullptr;
  Stage stage(options.window, options.axis_share, true);
  VirtualPad pad(stage.clock);
  stage.input.pump();
  stage.screen->set_patch(
      place_patch(stage.screen->size(), options.patch_place, options.patch_percent));
  session::Display display = describe_display(stage.window, *stage.screen);
  const auto measured = warm_up(*stage.screen, 0, display.vsync ? kFrames : 0);
  display.measured_interval = measured;
  const std::int64_t resolution_ns = stage.clock.resolution_ns();
  const session::Host host = describe_host();
  print_facts(host, display, resolution_ns, out);
  if (lamp) {
    const auto switches = time_switches(*lamp, stage.clock, kLampFlashes,
                                        [] { std::this_thread::sleep_for(kLampPause); });
    print_lamp(*options.lamp, *switches, out);
  }
  std::vector<PacingCheck> checks;
  for (const PacingKind pacing :
       {PacingKind::kOnPress, PacingKind::kEveryFrame, PacingKind::kFrameStart}) {
    checks.push_back(check_pacing(pacing, stage, pad, display));
  }
  print_pacings(checks, out);
  print_judgement(host, display, resolution_ns, checks, out);
}

}  // namespace thumblight::harness
