#pragma once

#include <SDL.h>

#include <deque>
#include <mutex>
#include <vector>

#include "harness/run/clock.hpp"
#include "harness/run/input.hpp"
#include "harness/system/sdl_devices.hpp"

namespace thumblight::harness {

/// SDL's events. Each is stamped in an event watch, which SDL calls the moment it queues the event,
/// on whichever thread that happens.
class SdlInput : public Input {
 public:
  SdlInput(Clock& clock, SdlDevices& devices);
  ~SdlInput() override;
  SdlInput(const SdlInput&) = delete;
  SdlInput& operator=(const SdlInput&) = delete;

  void pump() override;
  void wait_until(std::int64_t deadline_ns) override;
  void collect_until(std::int64_t deadline_ns) override;
  std::optional<InputEvent> take() override;

  /// "blocking" or "polling": whether SDL can sleep until an event comes.
  std::string waiting() const;

 private:
  struct Stamped {
    SDL_Event event;
    std::int64_t arrival_ns;
  };

  static int watch(void* self, SDL_Event* event);
  void nap(std::int64_t deadline_ns);
  void translate(const Stamped& stamped);
  void translate_device(const Stamped& stamped);
  void translate_axis(const Stamped& stamped);
  void translate_hat(const Stamped& stamped);
  void translate_window(const Stamped& stamped);
  void add(Happening happening, const Control& control, std::int64_t arrival_ns);

  Clock& clock_;
  SdlDevices& devices_;
  std::mutex mutex_;
  std::vector<Stamped> stamped_;
  std::deque<InputEvent> events_;
  bool closing_ = false;
};

}  // namespace thumblight::harness
