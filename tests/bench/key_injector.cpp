#include "tests/bench/key_injector.hpp"

#include <X11/Xlib.h>
#include <X11/extensions/XTest.h>

#include <optional>
#include <random>

#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/press_lamp.hpp"
#include "tests/bench/top_window.hpp"

namespace thumblight::bench {
namespace {

/// A window that went away between two requests is no reason to end the program, which is what
/// Xlib does where nobody takes its errors.
int pass_over(Display*, XErrorEvent*) {
  return 0;
}

}  // namespace

/// The connection to an X server, closed at the end.
struct KeyInjector::Connection {
  explicit Connection(const std::string& name) : display(XOpenDisplay(name.c_str())) {
    if (display == nullptr) {
      throw Error("no X server answers on display " + name);
    }
  }
  ~Connection() {
    lamp.reset();
    XCloseDisplay(display);
  }
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;

  void light(bool bright) const {
    if (lamp) {
      lamp->switch_to(bright);
    }
  }

  /// Waits until the lamp shows what it was asked to: a server that is held up must not make of a
  /// whole press a flash that no camera sees.
  void wait_for_lamp() const {
    if (lamp) {
      XSync(display, False);
    }
  }

  Display* display;
  std::unique_ptr<PressLamp> lamp;
};

KeyInjector::KeyInjector(const std::string& display_name, const std::string& keysym)
    : connection_(std::make_unique<Connection>(display_name)) {
  XSetErrorHandler(pass_over);
  int ignored = 0;
  if (!XTestQueryExtension(connection_->display, &ignored, &ignored, &ignored, &ignored)) {
    throw Error("display " + display_name + " has no XTEST extension");
  }
  const KeySym symbol = XStringToKeysym(keysym.c_str());
  key_code_ = symbol == NoSymbol ? 0 : XKeysymToKeycode(connection_->display, symbol);
  if (key_code_ == 0) {
    throw Error("display " + display_name + " has no key '" + keysym + "'");
  }
}

KeyInjector::~KeyInjector() = default;

WindowPlace KeyInjector::focus_program(double timeout_s) {
  const std::int64_t deadline_ns = monotonic_raw_ns() + ns_of_s(timeout_s);
  while (monotonic_raw_ns() < deadline_ns) {
    const std::optional<TopWindow> window = find_top_window(connection_->display);
    if (window && focus(connection_->display, *window)) {
      return window->place;
    }
    sleep_ns(10 * kNsPerMs);
  }
  throw Error("no window that takes the keyboard came up within " + std::to_string(timeout_s) +
              " s");
}

void KeyInjector::wire_lamp(const WindowPlace& place) {
  connection_->lamp = std::make_unique<PressLamp>(connection_->display, place);
}

Injection KeyInjector::press() {
  Injection injection;
  injection.before_ns = monotonic_raw_ns();
  connection_->light(true);
  XTestFakeKeyEvent(connection_->display, key_code_, True, CurrentTime);
  XFlush(connection_->display);
  injection.after_ns = monotonic_raw_ns();
  connection_->wait_for_lamp();
  return injection;
}

void KeyInjector::release() {
  connection_->light(false);
  XTestFakeKeyEvent(connection_->display, key_code_, False, CurrentTime);
  XFlush(connection_->display);
  connection_->wait_for_lamp();
}

std::vector<std::int64_t> gaps_ns(const GapPlan& plan) {
  std::mt19937_64 engine(plan.seed);
  std::uniform_int_distribution<std::int64_t> gap_ns(ns_of_s(plan.least_gap_s),
                                                     ns_of_s(plan.most_gap_s));
  std::vector<std::int64_t> result(static_cast<std::size_t>(plan.presses));
  for (std::int64_t& gap : result) {
    gap = gap_ns(engine);
  }
  return result;
}

std::vector<Injection> inject(KeyInjector& injector, const GapPlan& plan) {
  std::vector<Injection> injections;
  std::int64_t last_ns = monotonic_raw_ns();
  for (const std::int64_t gap_ns : gaps_ns(plan)) {
    // Counted from the press that was, not from the one that was due: a late press must not
    // shorten the gap after it, for the patch may still be lit.
    sleep_ns(last_ns + gap_ns - monotonic_raw_ns());
    injections.push_back(injector.press());
    last_ns = monotonic_raw_ns();
    sleep_ns(ns_of_s(plan.held_s));
    injector.release();
  }
  return injections;
}

}  // namespace thumblight::bench
