#include "analysis/review/chords.hpp"

#include <array>
#include <utility>

namespace thumblight::review {
namespace {

constexpr std::uint32_t kFirstAgain_ms = 400;
constexpr std::uint32_t kNextAgain_ms = 40;

std::string with_modifiers(const std::string& key, Uint16 modifiers) {
  std::string chord;
  if ((modifiers & KMOD_SHIFT) != 0) {
    chord += "Shift+";
  }
  if ((modifiers & KMOD_CTRL) != 0) {
    chord += "Ctrl+";
  }
  return chord + key;
}

Chord chord_of(const SDL_KeyboardEvent& event) {
  return {with_modifiers(SDL_GetKeyName(event.keysym.sym), event.keysym.mod),
          with_modifiers(SDL_GetScancodeName(event.keysym.scancode), event.keysym.mod),
          event.repeat != 0};
}

std::string button_name(Uint8 button) {
  constexpr std::array<const char*, 15> kNames = {"A",
                                                  "B",
                                                  "X",
                                                  "Y",
                                                  "back",
                                                  "guide",
                                                  "start",
                                                  "left stick click",
                                                  "right stick click",
                                                  "left shoulder",
                                                  "right shoulder",
                                                  "up",
                                                  "down",
                                                  "left",
                                                  "right"};
  return button < kNames.size() ? std::string("pad ") + kNames[button] : "";
}

}  // namespace

ChordReader::~ChordReader() {
  for (const auto& [id, controller] : controllers_) {
    SDL_GameControllerClose(controller);
  }
}

std::vector<Chord> ChordReader::press(const std::string& name, std::uint32_t now_ms) {
  if (name.empty()) {
    return {};
  }
  next_ms_[name] = now_ms + kFirstAgain_ms;
  return {{name, name, false}};
}

void ChordReader::release(const std::string& name) {
  next_ms_.erase(name);
  let_go_ = true;
}

std::vector<Chord> ChordReader::take_side(const std::string& name, bool on, std::uint32_t now_ms) {
  const bool was_on = next_ms_.count(name) > 0;
  if (on && !was_on) {
    return press(name, now_ms);
  }
  if (!on && was_on) {
    release(name);
  }
  return {};
}

std::vector<Chord> ChordReader::take_axis(const SDL_ControllerAxisEvent& event) {
  constexpr int kFarEnough = 16000;
  const int value = event.value;
  const bool low = value < -kFarEnough;
  const bool high = value > kFarEnough;
  const auto sides = [&](const char* lower, const char* higher) {
    std::vector<Chord> chords = take_side(lower, low, event.timestamp);
    const std::vector<Chord> more = take_side(higher, high, event.timestamp);
    chords.insert(chords.end(), more.begin(), more.end());
    return chords;
  };
  switch (event.axis) {
    case SDL_CONTROLLER_AXIS_TRIGGERLEFT:
      return take_side("pad left trigger", high, event.timestamp);
    case SDL_CONTROLLER_AXIS_TRIGGERRIGHT:
      return take_side("pad right trigger", high, event.timestamp);
    case SDL_CONTROLLER_AXIS_RIGHTX:
      return sides("pad right stick left", "pad right stick right");
    case SDL_CONTROLLER_AXIS_RIGHTY:
      return sides("pad right stick up", "pad right stick down");
    default:
      return {};
  }
}

std::vector<Chord> ChordReader::take(const SDL_Event& event) {
  switch (event.type) {
    case SDL_KEYDOWN:
      return {chord_of(event.key)};
    case SDL_KEYUP:
      let_go_ = true;
      return {};
    case SDL_CONTROLLERBUTTONDOWN:
      return press(button_name(event.cbutton.button), event.cbutton.timestamp);
    case SDL_CONTROLLERBUTTONUP:
      release(button_name(event.cbutton.button));
      return {};
    case SDL_CONTROLLERAXISMOTION:
      return take_axis(event.caxis);
    case SDL_CONTROLLERDEVICEADDED:
      if (SDL_GameController* opened = SDL_GameControllerOpen(event.cdevice.which)) {
        controllers_[SDL_JoystickInstanceID(SDL_GameControllerGetJoystick(opened))] = opened;
      }
      return {};
    case SDL_CONTROLLERDEVICEREMOVED:
      next_ms_.clear();
      let_go_ = true;
      if (const auto gone = controllers_.find(event.cdevice.which); gone != controllers_.end()) {
        SDL_GameControllerClose(gone->second);
        controllers_.erase(gone);
      }
      return {};
    default:
      return {};
  }
}

std::vector<Chord> ChordReader::held(std::uint32_t now_ms) {
  std::vector<Chord> chords;
  for (auto& [name, next_ms] : next_ms_) {
    if (static_cast<std::int32_t>(now_ms - next_ms) >= 0) {
      next_ms = now_ms + kNextAgain_ms;
      chords.push_back({name, name, true});
    }
  }
  return chords;
}

bool ChordReader::was_let_go() {
  return std::exchange(let_go_, false);
}

}  // namespace thumblight::review
