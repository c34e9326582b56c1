#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "tests/bench/window_place.hpp"

namespace thumblight::bench {

/// One injected press: the request left this program between the two stamps of
/// CLOCK_MONOTONIC_RAW. `before_ns` is the press's instant: nothing that it causes is earlier.
struct Injection {
  std::int64_t before_ns = 0;
  std::int64_t after_ns = 0;
};

/// Presses at random gaps, uniformly distributed, so that they lock to no refresh.
struct GapPlan {
  int presses = 40;
  double least_gap_s = 0.6;  ///< from press to press
  double most_gap_s = 0.9;
  double held_s = 0.03;  ///< from press to release
  std::uint64_t seed = 1;
};

/// Presses one real key of an X server by its XTEST extension.
class KeyInjector {
 public:
  /// `keysym` is X's name of the key, such as "space". Throws `Error` if there is no such key.
  KeyInjector(const std::string& display_name, const std::string& keysym);
  ~KeyInjector();
  KeyInjector(const KeyInjector&) = delete;
  KeyInjector& operator=(const KeyInjector&) = delete;

  /// Waits for the program's window and gives it the keyboard. Throws `Error` if none comes.
  WindowPlace focus_program(double timeout_s = 20);

  /// From now on a window at `place` is bright while the key is held: a lamp wired to the key.
  void wire_lamp(const WindowPlace& place);

  Injection press();
  void release();

 private:
  struct Connection;  // keeps Xlib's macros out of this header

  std::unique_ptr<Connection> connection_;
  unsigned int key_code_ = 0;
};

/// Injects the planned presses, waiting one gap before each.
std::vector<Injection> inject(KeyInjector& injector, const GapPlan& plan);

/// The gaps of a plan in nanoseconds, one before each press; the same for the same seed.
std::vector<std::int64_t> gaps_ns(const GapPlan& plan);

}  // namespace thumblight::bench
