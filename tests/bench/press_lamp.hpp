#pragma once

#include <X11/Xlib.h>

#include "tests/bench/window_place.hpp"

namespace thumblight::bench {

/// A window of one colour, dark or bright: the lamp that is wired to the key. Whoever presses
/// switches it in the same breath, over the same connection, so that the server lights it within
/// microseconds of the key's event and never after it.
class PressLamp {
 public:
  /// Opens the window above all others, dark, and waits until it can be seen.
  PressLamp(Display* display, const WindowPlace& place);
  ~PressLamp();
  PressLamp(const PressLamp&) = delete;
  PressLamp& operator=(const PressLamp&) = delete;

  /// Asks for the colour; the request leaves with the connection's next flush.
  void switch_to(bool bright);

 private:
  Display* display_;
  WindowPlace place_;
  Window window_ = None;
  GC context_ = nullptr;
};

}  // namespace thumblight::bench
