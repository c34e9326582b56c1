#pragma once

#include <string>

#include "harness/run/clock.hpp"

namespace thumblight::harness {

/// SDL's performance counter in nanoseconds.
class SdlClock : public Clock {
 public:
  std::int64_t now_ns() override;

  /// The smallest step between two readings that was seen in a short trial.
  std::int64_t resolution_ns();
};

/// The name of the clock behind SDL's performance counter; in a file of its own for each system.
std::string counter_name();

}  // namespace thumblight::harness
