#pragma once

#include <X11/Xlib.h>

#include <optional>

#include "tests/bench/window_place.hpp"

namespace thumblight::bench {

/// A window on the root.
struct TopWindow {
  Window id = None;
  WindowPlace place;
};

/// The uppermost window that can be seen; empty while there is none.
std::optional<TopWindow> find_top_window(Display* display);

/// Gives the window the keyboard and says whether it has it. Without a window manager nobody else
/// does this.
bool focus(Display* display, const TopWindow& window);

}  // namespace thumblight::bench
