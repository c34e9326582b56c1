#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string_view>

#include "harness/run/clock.hpp"
#include "harness/run/input.hpp"
#include "harness/run/screen.hpp"

namespace thumblight::harness {

enum class PacingKind { kOnPress, kEveryFrame, kFrameStart };

std::string_view name_of(PacingKind kind);

/// When events are taken and when frames are drawn.
class Pacing {
 public:
  virtual ~Pacing() = default;

  /// Collects events until it is time to act on them; at the latest at `due_ns`, if there is one.
  virtual void gather(Input& input, std::optional<std::int64_t> due_ns) = 0;

  /// True if a frame is drawn at every turn, whether or not something has changed.
  virtual bool continual() const = 0;

  /// Told of each frame: when its drawing began, and when it was handed over and came back.
  virtual void drew(std::int64_t begun_ns, const FrameTimes& times) = 0;
};

/// `interval_ns` is the refresh interval.
std::unique_ptr<Pacing> make_pacing(PacingKind kind, Clock& clock, std::int64_t interval_ns);

}  // namespace thumblight::harness
