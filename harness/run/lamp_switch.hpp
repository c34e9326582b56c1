#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "harness/run/clock.hpp"
#include "harness/run/lamp.hpp"
#include "harness/session/records.hpp"

namespace thumblight::harness {

/// Switches the lamp of a run, which may have none, and keeps what it did for the log. A lamp that
/// fails ends nothing: that switch is counted and has no record, nor has the end of a flash that
/// never began.
class LampSwitch {
 public:
  /// `lamp` is null where there is none.
  LampSwitch(Lamp* lamp, Clock& clock) : lamp_(lamp), clock_(clock) {}

  /// On for press `index`, and off again. Each is stamped just before the lamp is told, so that no
  /// lag is negative.
  void light(std::int64_t index);
  void darken();

  /// What was done since the last call, in order of time.
  std::vector<session::Lamp> take_records();

  int failures() const { return failures_; }
  /// What the first failure said; empty if there was none.
  const std::string& first_fault() const { return first_fault_; }

 private:
  /// The moment at which it was told; empty if that failed.
  std::optional<std::int64_t> switch_to(bool on);

  Lamp* lamp_;
  Clock& clock_;
  std::optional<std::int64_t> lit_index_;  ///< of the press that it was told to shine for
  bool shines_ = false;                    ///< as far as it said
  std::vector<session::Lamp> records_;
  int failures_ = 0;
  std::string first_fault_;
};

/// How long a switch takes before it returns, over so many times on and off; `pause` waits between
/// them, so that the lamp flashes no faster than is safe.
std::optional<session::Intervals> time_switches(Lamp& lamp, Clock& clock, int times,
                                                const std::function<void()>& pause);

}  // namespace thumblight::harness
