#include "analysis/rehearsal/frame_clock.hpp"

#include <cmath>
#include <numbers>

namespace thumblight::rehearsal {

FrameClock::FrameClock(const CameraSettings& settings, std::uint64_t seed)
    : settings_(settings), random_(seed, Stream::kFrames) {}

CameraFrame FrameClock::next() {
  const double interval_s = 1.0 / (settings_.nominal_hz * (1.0 + settings_.rate_error));
  const double jitter = random_.uniform(-settings_.interval_jitter, settings_.interval_jitter);
  const bool dropped = random_.chance(settings_.dropped);
  const bool doubled = random_.chance(settings_.doubled);
  CameraFrame frame;
  frame.number = number_;
  frame.start_s = due_s_;
  if (number_ > 0) {
    frame.start_s += jitter * interval_s;
    frame.dropped = dropped;
    frame.doubled = doubled;
  }
  if (settings_.rate_wander == 0.0) {
    due_s_ = static_cast<double>(number_ + 1) * interval_s;
  } else {
    const double angle = 2.0 * std::numbers::pi * due_s_ / settings_.rate_wander_period_s;
    due_s_ += interval_s * (1.0 + settings_.rate_wander * std::sin(angle));
  }
  ++number_;
  return frame;
}

std::int64_t stamp_ticks(const Settings& settings, const CameraFrame& frame, std::int64_t written,
                         int ticks_per_s) {
  const auto ticks = static_cast<double>(ticks_per_s);
  switch (settings.file.stamps) {
    case Stamps::kNominal:
      return std::llround(static_cast<double>(written) * ticks / settings.camera.nominal_hz);
    case Stamps::kConformed:
      return std::llround(static_cast<double>(written) * ticks / settings.file.playback_hz);
    case Stamps::kReal:
      break;
  }
  return std::llround(frame.start_s * ticks);
}

}  // namespace thumblight::rehearsal
