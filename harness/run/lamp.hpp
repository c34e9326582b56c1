#pragma once

namespace thumblight::harness {

/// A lamp that the host switches in the camera's view, so that the recording shows the host's
/// clock. It is off from the start, and goes off with the object.
class Lamp {
 public:
  virtual ~Lamp() = default;

  /// Returns when the system has taken the order, which may be before or after it shines. Throws
  /// `Error` if it cannot be switched.
  virtual void switch_to(bool on) = 0;
};

}  // namespace thumblight::harness
