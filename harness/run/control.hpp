#pragma once

#include <cstdint>
#include <optional>

namespace thumblight::harness {

enum class Source { kKey, kMouse, kButton, kAxis, kHat, kTouch };

/// One thing that can be pressed.
struct Control {
  Source source = Source::kKey;
  int code = 0;               ///< scancode, mouse button, or the index of a button, axis or hat
  int direction = 0;          ///< axis: +1 or -1; hat: 1 up, 2 right, 4 down, 8 left; else 0
  std::optional<int> device;  ///< the joystick's instance; empty for keyboard, mouse and touch

  bool operator==(const Control&) const = default;
};

}  // namespace thumblight::harness
