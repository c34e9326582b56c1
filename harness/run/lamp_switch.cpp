#include "harness/run/lamp_switch.hpp"

#include <utility>

#include "harness/run/frame_meter.hpp"
#include "harness/session/error.hpp"

namespace thumblight::harness {

void LampSwitch::light(std::int64_t index) {
  lit_index_ = index;
  const auto switched_ns = switch_to(true);
  shines_ = switched_ns.has_value();
  if (switched_ns) {
    records_.push_back({index, true, *switched_ns});
  }
}

void LampSwitch::darken() {
  if (!lit_index_) {
    return;
  }
  const auto switched_ns = switch_to(false);
  if (shines_ && switched_ns) {
    records_.push_back({*lit_index_, false, *switched_ns});
  }
  lit_index_.reset();
}

std::vector<session::Lamp> LampSwitch::take_records() {
  return std::exchange(records_, {});
}

std::optional<std::int64_t> LampSwitch::switch_to(bool on) {
  if (lamp_ == nullptr) {
    return std::nullopt;
  }
  const std::int64_t switched_ns = clock_.now_ns();
  try {
    lamp_->switch_to(on);
  } catch (const Error& error) {
    if (failures_++ == 0) {
      first_fault_ = error.what();
    }
    return std::nullopt;
  }
  return switched_ns;
}

std::optional<session::Intervals> time_switches(Lamp& lamp, Clock& clock, int times,
                                                const std::function<void()>& pause) {
  std::vector<std::int64_t> durations_ns;
  for (int change = 0; change < 2 * times; ++change) {
    const std::int64_t begun_ns = clock.now_ns();
    lamp.switch_to(change % 2 == 0);
    durations_ns.push_back(clock.now_ns() - begun_ns);
    pause();
  }
  return intervals_of(durations_ns);
}

}  // namespace thumblight::harness
