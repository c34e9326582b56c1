#include "harness/system/sdl_input.hpp"

#include <algorithm>
#include <chrono>
#include <thread>

namespace thumblight::harness {
namespace {

/// SDL's own waiting polls once a millisecond as soon as a joystick is open; this is the longest
/// sleep between two looks of ours.
constexpr std::int64_t kLook_ns = 50'000;

bool matters(Uint32 type) {
  switch (type) {
    case SDL_KEYDOWN:
    case SDL_KEYUP:
    case SDL_MOUSEBUTTONDOWN:
    case SDL_MOUSEBUTTONUP:
    case SDL_JOYBUTTONDOWN:
    case SDL_JOYBUTTONUP:
    case SDL_JOYAXISMOTION:
    case SDL_JOYHATMOTION:
    case SDL_JOYDEVICEADDED:
    case SDL_JOYDEVICEREMOVED:
    case SDL_FINGERDOWN:
    case SDL_FINGERUP:
    case SDL_WINDOWEVENT:
    case SDL_QUIT:
      return true;
    default:
      return false;
  }
}

Happening down_if(bool pressed) {
  return pressed ? Happening::kDown : Happening::kUp;
}

}  // namespace

SdlInput::SdlInput(Clock& clock, SdlDevices& devices) : clock_(clock), devices_(devices) {
  SDL_AddEventWatch(&SdlInput::watch, this);
}

SdlInput::~SdlInput() {
  SDL_DelEventWatch(&SdlInput::watch, this);
}

int SdlInput::watch(void* self, SDL_Event* event) {
  auto& input = *static_cast<SdlInput*>(self);
  if (matters(event->type)) {
    const std::int64_t arrival_ns = input.clock_.now_ns();
    const std::lock_guard lock(input.mutex_);
    input.stamped_.push_back({*event, arrival_ns});
  }
  return 0;
}

void SdlInput::pump() {
  SDL_PumpEvents();
  // The watch has its own copies; an empty queue lets SDL's waiting sleep.
  SDL_FlushEvents(SDL_FIRSTEVENT, SDL_LASTEVENT);
  std::vector<Stamped> stamped;
  {
    const std::lock_guard lock(mutex_);
    stamped.swap(stamped_);
  }
  for (const Stamped& one : stamped) {
    translate(one);
  }
}

void SdlInput::wait_until(std::int64_t deadline_ns) {
  pump();
  while (events_.empty() && clock_.now_ns() < deadline_ns) {
    nap(deadline_ns);
    pump();
  }
}

void SdlInput::collect_until(std::int64_t deadline_ns) {
  pump();
  while (clock_.now_ns() < deadline_ns) {
    nap(deadline_ns);
    pump();
  }
}

void SdlInput::nap(std::int64_t deadline_ns) {
  const std::int64_t left_ns = deadline_ns - clock_.now_ns();
  const std::int64_t left_ms = left_ns / kMillisecond_ns;
  if (!devices_.any_open() && left_ms > 0) {
    SDL_WaitEventTimeout(nullptr, static_cast<int>(std::min<std::int64_t>(left_ms, 1000)));
  } else if (left_ns > 0) {
    std::this_thread::sleep_for(std::chrono::nanoseconds(std::min(left_ns, kLook_ns)));
  }
}

std::optional<InputEvent> SdlInput::take() {
  if (events_.empty()) {
    return std::nullopt;
  }
  const InputEvent event = events_.front();
  events_.pop_front();
  return event;
}

std::string SdlInput::waiting() const {
  return devices_.any_open() ? "polling" : "blocking";
}

void SdlInput::add(Happening happening, const Control& control, std::int64_t arrival_ns) {
  events_.push_back({happening, control, arrival_ns});
}

void SdlInput::translate(const Stamped& stamped) {
  const SDL_Event& event = stamped.event;
  switch (event.type) {
    case SDL_KEYDOWN:
    case SDL_KEYUP:
      if (event.key.repeat == 0) {
        add(down_if(event.type == SDL_KEYDOWN), {Source::kKey, event.key.keysym.scancode, 0, {}},
            stamped.arrival_ns);
      }
      break;
    case SDL_MOUSEBUTTONDOWN:
    case SDL_MOUSEBUTTONUP:
      add(down_if(event.type == SDL_MOUSEBUTTONDOWN), {Source::kMouse, event.button.button, 0, {}},
          stamped.arrival_ns);
      break;
    case SDL_JOYBUTTONDOWN:
    case SDL_JOYBUTTONUP:
      add(down_if(event.type == SDL_JOYBUTTONDOWN),
          {Source::kButton, event.jbutton.button, 0, event.jbutton.which}, stamped.arrival_ns);
      break;
    case SDL_FINGERDOWN:
    case SDL_FINGERUP:
      add(down_if(event.type == SDL_FINGERDOWN), {Source::kTouch, 0, 0, {}}, stamped.arrival_ns);
      break;
    case SDL_JOYAXISMOTION:
      translate_axis(stamped);
      break;
    case SDL_JOYHATMOTION:
      translate_hat(stamped);
      break;
    case SDL_JOYDEVICEADDED:
    case SDL_JOYDEVICEREMOVED:
      translate_device(stamped);
      break;
    case SDL_WINDOWEVENT:
      translate_window(stamped);
      break;
    case SDL_QUIT:
      if (!closing_) {
        add(Happening::kInterrupted, {}, stamped.arrival_ns);
      }
      break;
    default:
      break;
  }
}

void SdlInput::translate_device(const Stamped& stamped) {
  const int which = stamped.event.jdevice.which;
  Control control{Source::kButton, 0, 0, which};
  if (stamped.event.type == SDL_JOYDEVICEREMOVED) {
    add(Happening::kDeviceRemoved, control, stamped.arrival_ns);
    devices_.unplugged(which);
  } else if (const auto instance = devices_.plugged_in(which)) {
    control.device = instance;
    add(Happening::kDeviceAdded, control, stamped.arrival_ns);
  }
}

void SdlInput::translate_axis(const Stamped& stamped) {
  const SDL_JoyAxisEvent& axis = stamped.event.jaxis;
  AxisThreshold& threshold = devices_.axis(axis.which, axis.axis);
  if (const int opened = threshold.opened_by(axis.value); opened != 0) {
    add(Happening::kUp, {Source::kAxis, axis.axis, opened, axis.which}, stamped.arrival_ns);
  }
  if (const int closed = threshold.closed_by(axis.value); closed != 0) {
    add(Happening::kDown, {Source::kAxis, axis.axis, closed, axis.which}, stamped.arrival_ns);
  }
}

void SdlInput::translate_hat(const Stamped& stamped) {
  const SDL_JoyHatEvent& hat = stamped.event.jhat;
  int& former = devices_.hat(hat.which, hat.hat);
  for (const int direction : {SDL_HAT_UP, SDL_HAT_RIGHT, SDL_HAT_DOWN, SDL_HAT_LEFT}) {
    if ((former & direction) != (hat.value & direction)) {
      add(down_if((hat.value & direction) != 0), {Source::kHat, hat.hat, direction, hat.which},
          stamped.arrival_ns);
    }
  }
  former = hat.value;
}

void SdlInput::translate_window(const Stamped& stamped) {
  switch (stamped.event.window.event) {
    case SDL_WINDOWEVENT_EXPOSED:
      add(Happening::kExposed, {}, stamped.arrival_ns);
      break;
    case SDL_WINDOWEVENT_FOCUS_GAINED:
      add(Happening::kFocusGained, {}, stamped.arrival_ns);
      break;
    case SDL_WINDOWEVENT_FOCUS_LOST:
      add(Happening::kFocusLost, {}, stamped.arrival_ns);
      break;
    case SDL_WINDOWEVENT_CLOSE:
      closing_ = true;
      add(Happening::kClosed, {}, stamped.arrival_ns);
      break;
    default:
      break;
  }
}

}  // namespace thumblight::harness
