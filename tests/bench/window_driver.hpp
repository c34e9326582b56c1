#pragma once

#include <memory>
#include <string>

#include "tests/bench/window_place.hpp"

namespace thumblight::bench {

/// Keyboard and mouse of an X server, for one program's window: real events by its XTEST extension.
class WindowDriver {
 public:
  /// Waits for the program's window and gives it the keyboard. Throws `Error` if none comes.
  explicit WindowDriver(const std::string& display_name, double timeout_s = 30);
  ~WindowDriver();
  WindowDriver(const WindowDriver&) = delete;
  WindowDriver& operator=(const WindowDriver&) = delete;

  const WindowPlace& place() const { return place_; }
  /// What the window calls itself; empty where it has no name.
  std::string window_name() const;

  /// Presses and lets go of a key by X's name of it, such as "Right", "p", "shift+Right".
  void key(const std::string& chord);
  /// In pixels of the window.
  void move_mouse(int x, int y);
  /// Button 1 is the left one; 4 and 5 are the wheel's turns.
  void click(int button);
  /// From one place to another with the left button held, by a few places between them.
  void drag(int from_x, int from_y, int to_x, int to_y);

 private:
  struct Connection;  // keeps Xlib's macros out of this header

  void send_key(const std::string& keysym, bool down);
  void send_button(int button, bool down);

  std::unique_ptr<Connection> connection_;
  WindowPlace place_;
};

}  // namespace thumblight::bench
