#pragma once

#include <cstdint>
#include <optional>

#include "harness/run/control.hpp"

namespace thumblight::harness {

enum class Happening {
  kDown,           ///< a control was pressed
  kUp,             ///< a control was let go
  kDeviceRemoved,  ///< the joystick `control.device` was unplugged
  kDeviceAdded,    ///< the joystick `control.device` was plugged in
  kFocusGained,
  kFocusLost,
  kExposed,      ///< the window's pixels must be drawn again
  kClosed,       ///< the person closed the window
  kInterrupted,  ///< the system asks the program to end
};

struct InputEvent {
  Happening happening = Happening::kDown;
  Control control;
  std::int64_t arrival_ns = 0;  ///< stamped as early as the system lets us
};

/// Where events come from. Each is stamped when the system hands it over, not when it is taken.
class Input {
 public:
  virtual ~Input() = default;

  /// Collects what has come, without waiting.
  virtual void pump() = 0;

  /// Collects what comes; returns as soon as there is something to take, and at the deadline.
  virtual void wait_until(std::int64_t deadline_ns) = 0;

  /// Collects whatever comes until the deadline.
  virtual void collect_until(std::int64_t deadline_ns) = 0;

  /// The next event in the order of arrival; empty if there is none.
  virtual std::optional<InputEvent> take() = 0;
};

}  // namespace thumblight::harness
