#include "harness/system/control_names.hpp"

#include <algorithm>
#include <array>
#include <cstdio>

#include "harness/session/error.hpp"

namespace thumblight::harness {
namespace {

struct Named {
  int code;
  const char* name;
};

constexpr std::array<Named, 5> kMouseButtons = {{{SDL_BUTTON_LEFT, "left"},
                                                 {SDL_BUTTON_MIDDLE, "middle"},
                                                 {SDL_BUTTON_RIGHT, "right"},
                                                 {SDL_BUTTON_X1, "x1"},
                                                 {SDL_BUTTON_X2, "x2"}}};
constexpr std::array<Named, 4> kHatDirections = {
    {{SDL_HAT_UP, "up"}, {SDL_HAT_RIGHT, "right"}, {SDL_HAT_DOWN, "down"}, {SDL_HAT_LEFT, "left"}}};

template <std::size_t n>
std::string name_in(const std::array<Named, n>& names, int code) {
  for (const Named& one : names) {
    if (one.code == code) {
      return one.name;
    }
  }
  return std::to_string(code);
}

template <std::size_t n>
std::optional<int> code_in(const std::array<Named, n>& names, const std::string& name) {
  for (const Named& one : names) {
    if (name == one.name) {
      return one.code;
    }
  }
  return std::nullopt;
}

std::string lower(std::string text) {
  for (char& c : text) {
    c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  return text;
}

std::string key_name(int scancode) {
  const std::string name = SDL_GetScancodeName(static_cast<SDL_Scancode>(scancode));
  return name.empty() ? "#" + std::to_string(scancode) : name;
}

[[noreturn]] void unknown(const std::string& name) {
  throw Error("--control " + name +
              ": no such control; name one like key:space, mouse:left, touch, pad:a, "
              "pad:righttrigger, joy:button3, joy:axis2+ or joy:hat0up");
}

Control parse_key(const std::string& name, const std::string& key) {
  int number = 0;
  if (std::sscanf(key.c_str(), "#%d", &number) == 1 && number > 0 && number < SDL_NUM_SCANCODES) {
    return {Source::kKey, number, 0, {}};
  }
  const SDL_Scancode scancode = SDL_GetScancodeFromName(key.c_str());
  if (scancode == SDL_SCANCODE_UNKNOWN) {
    unknown(name);
  }
  return {Source::kKey, scancode, 0, {}};
}

Control parse_joystick(const std::string& name, const std::string& what, int instance) {
  int code = 0;
  std::array<char, 8> tail = {};
  if (std::sscanf(what.c_str(), "button%d%7s", &code, tail.data()) == 1 && code >= 0) {
    return {Source::kButton, code, 0, instance};
  }
  if (std::sscanf(what.c_str(), "axis%d%7s", &code, tail.data()) == 2 && code >= 0 &&
      (std::string(tail.data()) == "+" || std::string(tail.data()) == "-")) {
    return {Source::kAxis, code, tail[0] == '+' ? 1 : -1, instance};
  }
  if (std::sscanf(what.c_str(), "hat%d%7s", &code, tail.data()) == 2 && code >= 0) {
    if (const auto direction = code_in(kHatDirections, tail.data())) {
      return {Source::kHat, code, *direction, instance};
    }
  }
  unknown(name);
}

std::string joystick_part(const Control& control) {
  const std::string code = std::to_string(control.code);
  switch (control.source) {
    case Source::kAxis:
      return "axis" + code + (control.direction > 0 ? "+" : "-");
    case Source::kHat:
      return "hat" + code + name_in(kHatDirections, control.direction);
    default:
      return "button" + code;
  }
}

const char* kind_of(Source source) {
  switch (source) {
    case Source::kKey:
      return "key";
    case Source::kMouse:
      return "mouse";
    case Source::kButton:
      return "button";
    case Source::kAxis:
      return "axis";
    case Source::kHat:
      return "hat";
    case Source::kTouch:
      return "touch";
  }
  return "";
}

}  // namespace

bool needs_device(const std::string& name) {
  return name.starts_with("pad:") || name.starts_with("joy:");
}

Control parse_control(const std::string& name, const SdlDevices& devices) {
  const std::string rest = name.substr(std::min(name.find(':') + 1, name.size()));
  if (name == "touch") {
    return {Source::kTouch, 0, 0, {}};
  }
  if (name.starts_with("key:")) {
    return parse_key(name, rest);
  }
  if (name.starts_with("mouse:")) {
    const auto button = code_in(kMouseButtons, rest);
    return button ? Control{Source::kMouse, *button, 0, {}} : (unknown(name), Control{});
  }
  if (!needs_device(name)) {
    unknown(name);
  }
  const auto first = devices.first();
  if (!first) {
    throw Error("--control " + name + ": no controller is plugged in; --list shows those that are");
  }
  if (name.starts_with("joy:")) {
    return parse_joystick(name, rest, *first);
  }
  const auto mapped = devices.find_mapped(rest);
  if (!mapped) {
    throw Error("--control " + name +
                ": no controller that is plugged in has a control of this "
                "name; name its number instead, like joy:button0");
  }
  return *mapped;
}

std::string control_name(const Control& control, const SdlDevices& devices) {
  switch (control.source) {
    case Source::kKey:
      return "key:" + lower(key_name(control.code));
    case Source::kMouse:
      return "mouse:" + name_in(kMouseButtons, control.code);
    case Source::kTouch:
      return "touch";
    default:
      break;
  }
  const std::string mapped = devices.mapped_name(control);
  return mapped.empty() ? "joy:" + joystick_part(control) : "pad:" + mapped;
}

std::string spoken_name(const Control& control, const SdlDevices& devices) {
  switch (control.source) {
    case Source::kKey:
      return key_name(control.code);
    case Source::kMouse:
      return "the " + name_in(kMouseButtons, control.code) + " mouse button";
    case Source::kTouch:
      return "the screen";
    default:
      break;
  }
  const std::string mapped = devices.mapped_name(control);
  return mapped.empty() ? joystick_part(control) : mapped;
}

session::Input describe_input(const Control& control, const SdlDevices& devices) {
  session::Input input;
  input.kind = kind_of(control.source);
  input.control = control_name(control, devices);
  if (control.device) {
    devices.describe(*control.device, input);
  }
  return input;
}

Control escape_key() {
  return {Source::kKey, SDL_SCANCODE_ESCAPE, 0, {}};
}

}  // namespace thumblight::harness
