#include "tests/bench/xlib_client.hpp"

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <poll.h>

#include <fstream>
#include <memory>
#include <optional>

#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"

namespace thumblight::bench {
namespace {

class Client {
 public:
  explicit Client(const ClientOptions& options)
      : options_(options), display_(XOpenDisplay(nullptr), XCloseDisplay), out_(options.out) {
    if (display_ == nullptr) {
      throw Error("no X server answers; set DISPLAY");
    }
    key_code_ = XKeysymToKeycode(display_.get(), XStringToKeysym(options.key.c_str()));
    open_window();
    out_ << "arrival_ns,flashed" << std::endl;
    if (!out_) {
      throw Error("'" + options.out + "' cannot be written");
    }
  }

  void run() {
    while (presses_ < options_.presses || dark_due_ns_) {
      if (XPending(display_.get()) == 0 && !wait_for_event()) {
        darken();
        continue;
      }
      XEvent event;
      XNextEvent(display_.get(), &event);
      const std::int64_t arrival_ns = monotonic_raw_ns();
      if (event.type == KeyPress && event.xkey.keycode == key_code_) {
        take_press(arrival_ns);
      }
    }
  }

 private:
  void open_window() {
    const std::vector<int>& place = options_.window;
    XSetWindowAttributes attributes{};
    attributes.event_mask = KeyPressMask | ExposureMask;
    attributes.background_pixel = BlackPixel(display_.get(), 0);
    window_ = XCreateWindow(display_.get(), DefaultRootWindow(display_.get()), place[0], place[1],
                            static_cast<unsigned>(place[2]), static_cast<unsigned>(place[3]), 0,
                            CopyFromParent, InputOutput, CopyFromParent, CWEventMask | CWBackPixel,
                            &attributes);
    context_ = XCreateGC(display_.get(), window_, 0, nullptr);
    XMapWindow(display_.get(), window_);
    XEvent event;
    XWindowEvent(display_.get(), window_, ExposureMask, &event);
  }

  /// Waits until an event comes (true) or the patch is due to turn dark (false).
  bool wait_for_event() {
    pollfd connection = {ConnectionNumber(display_.get()), POLLIN, 0};
    int timeout_ms = -1;
    if (dark_due_ns_) {
      const std::int64_t left_ns = *dark_due_ns_ - monotonic_raw_ns();
      timeout_ms = static_cast<int>(left_ns <= 0 ? 0 : left_ns / kNsPerMs + 1);
    }
    return poll(&connection, 1, timeout_ms) != 0;
  }

  void take_press(std::int64_t arrival_ns) {
    const bool flashes = !dark_due_ns_;
    if (flashes) {
      fill(WhitePixel(display_.get(), 0));
      dark_due_ns_ = arrival_ns + ns_of_s(options_.hold_s);
    }
    out_ << arrival_ns << ',' << (flashes ? 1 : 0) << std::endl;
    ++presses_;
  }

  void darken() {
    fill(BlackPixel(display_.get(), 0));
    dark_due_ns_.reset();
  }

  void fill(unsigned long colour) {
    const std::vector<int>& patch = options_.patch;
    XSetForeground(display_.get(), context_, colour);
    XFillRectangle(display_.get(), window_, context_, patch[0], patch[1],
                   static_cast<unsigned>(patch[2]), static_cast<unsigned>(patch[3]));
    XFlush(display_.get());
  }

  ClientOptions options_;
  std::unique_ptr<Display, int (*)(Display*)> display_;
  std::ofstream out_;
  KeyCode key_code_ = 0;
  Window window_ = None;
  GC context_ = nullptr;
  int presses_ = 0;
  std::optional<std::int64_t> dark_due_ns_;
};

}  // namespace

void run_client(const ClientOptions& options) {
  Client(options).run();
}

}  // namespace thumblight::bench
