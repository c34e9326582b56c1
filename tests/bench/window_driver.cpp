#include "tests/bench/window_driver.hpp"

#include <X11/Xlib.h>
#include <X11/extensions/XTest.h>

#include <optional>
#include <vector>

#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/top_window.hpp"

namespace thumblight::bench {
namespace {

constexpr std::int64_t kHeldNs = 8 * kNsPerMs;  // a key or button, and a place of a drag

int pass_over(Display*, XErrorEvent*) {
  return 0;
}

std::string keysym_of(const std::string& part) {
  if (part == "shift") {
    return "Shift_L";
  }
  return part == "ctrl" ? "Control_L" : part;
}

std::vector<std::string> parts_of(const std::string& chord) {
  std::vector<std::string> parts;
  std::size_t at = 0;
  while (at <= chord.size()) {
    const std::size_t plus = std::min(chord.find('+', at), chord.size());
    parts.push_back(keysym_of(chord.substr(at, plus - at)));
    at = plus + 1;
  }
  return parts;
}

}  // namespace

struct WindowDriver::Connection {
  explicit Connection(const std::string& name) : display(XOpenDisplay(name.c_str())) {
    if (display == nullptr) {
      throw Error("no X server answers on display " + name);
    }
    XSetErrorHandler(pass_over);
  }
  ~Connection() { XCloseDisplay(display); }
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;

  Display* display;
  Window window = None;
};

WindowDriver::WindowDriver(const std::string& display_name, double timeout_s)
    : connection_(std::make_unique<Connection>(display_name)) {
  const std::int64_t deadline_ns = monotonic_raw_ns() + ns_of_s(timeout_s);
  while (monotonic_raw_ns() < deadline_ns) {
    const std::optional<TopWindow> window = find_top_window(connection_->display);
    if (window && focus(connection_->display, *window)) {
      connection_->window = window->id;
      place_ = window->place;
      return;
    }
    sleep_ns(10 * kNsPerMs);
  }
  throw Error("no window that takes the keyboard came up within " + std::to_string(timeout_s) +
              " s");
}

WindowDriver::~WindowDriver() = default;

std::string WindowDriver::window_name() const {
  char* name = nullptr;
  XFetchName(connection_->display, connection_->window, &name);
  const std::string text = name != nullptr ? name : "";
  XFree(name);
  return text;
}

void WindowDriver::send_key(const std::string& keysym, bool down) {
  const KeySym symbol = XStringToKeysym(keysym.c_str());
  const KeyCode code = symbol == NoSymbol ? 0 : XKeysymToKeycode(connection_->display, symbol);
  if (code == 0) {
    throw Error("the display has no key '" + keysym + "'");
  }
  XTestFakeKeyEvent(connection_->display, code, down ? True : False, CurrentTime);
  XFlush(connection_->display);
  sleep_ns(kHeldNs);
}

void WindowDriver::key(const std::string& chord) {
  const std::vector<std::string> parts = parts_of(chord);
  for (const std::string& part : parts) {
    send_key(part, true);
  }
  for (auto part = parts.rbegin(); part != parts.rend(); ++part) {
    send_key(*part, false);
  }
}

void WindowDriver::move_mouse(int x, int y) {
  XTestFakeMotionEvent(connection_->display, -1, place_.x + x, place_.y + y, CurrentTime);
  XFlush(connection_->display);
  sleep_ns(kHeldNs);
}

void WindowDriver::send_button(int button, bool down) {
  XTestFakeButtonEvent(connection_->display, static_cast<unsigned int>(button), down ? True : False,
                       CurrentTime);
  XFlush(connection_->display);
  sleep_ns(kHeldNs);
}

void WindowDriver::click(int button) {
  send_button(button, true);
  send_button(button, false);
}

void WindowDriver::drag(int from_x, int from_y, int to_x, int to_y) {
  constexpr int kPlaces = 8;
  move_mouse(from_x, from_y);
  send_button(1, true);
  for (int k = 1; k <= kPlaces; ++k) {
    move_mouse(from_x + (to_x - from_x) * k / kPlaces, from_y + (to_y - from_y) * k / kPlaces);
  }
  send_button(1, false);
}

}  // namespace thumblight::bench
