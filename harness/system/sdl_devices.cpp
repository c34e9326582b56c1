#include "harness/system/sdl_devices.hpp"

#include <array>

#include "harness/system/guid.hpp"

namespace thumblight::harness {
namespace {

std::string guid_digits(SDL_Joystick* joystick) {
  std::array<char, 33> digits = {};
  SDL_JoystickGetGUIDString(SDL_JoystickGetGUID(joystick), digits.data(),
                            static_cast<int>(digits.size()));
  return digits.data();
}

/// Calls `visit(binding, name)` for each button and axis that the controller's mapping names.
template <typename Visit>
void for_each_binding(SDL_GameController* controller, const Visit& visit) {
  for (int i = 0; i < SDL_CONTROLLER_BUTTON_MAX; ++i) {
    const auto button = static_cast<SDL_GameControllerButton>(i);
    visit(SDL_GameControllerGetBindForButton(controller, button),
          SDL_GameControllerGetStringForButton(button));
  }
  for (int i = 0; i < SDL_CONTROLLER_AXIS_MAX; ++i) {
    const auto axis = static_cast<SDL_GameControllerAxis>(i);
    visit(SDL_GameControllerGetBindForAxis(controller, axis),
          SDL_GameControllerGetStringForAxis(axis));
  }
}

std::optional<Control> control_of(const SDL_GameControllerButtonBind& binding, int instance) {
  switch (binding.bindType) {
    case SDL_CONTROLLER_BINDTYPE_BUTTON:
      return Control{Source::kButton, binding.value.button, 0, instance};
    case SDL_CONTROLLER_BINDTYPE_AXIS:
      return Control{Source::kAxis, binding.value.axis, +1, instance};
    case SDL_CONTROLLER_BINDTYPE_HAT:
      return Control{Source::kHat, binding.value.hat.hat, binding.value.hat.hat_mask, instance};
    default:
      return std::nullopt;
  }
}

}  // namespace

SdlDevices::SdlDevices(double axis_share) : axis_share_(axis_share) {}

SdlDevices::~SdlDevices() {
  for (auto& [instance, device] : open_) {
    close(device);
  }
}

std::optional<int> SdlDevices::plugged_in(int device_index) {
  SDL_Joystick* joystick = SDL_JoystickOpen(device_index);
  if (joystick == nullptr) {
    return std::nullopt;
  }
  const int instance = SDL_JoystickInstanceID(joystick);
  if (open_.contains(instance)) {
    SDL_JoystickClose(joystick);
    return instance;
  }
  Device device;
  device.joystick = joystick;
  device.guid = guid_digits(joystick);
  if (SDL_IsGameController(device_index) == SDL_TRUE) {
    device.controller = SDL_GameControllerOpen(device_index);
  }
  open_[instance] = std::move(device);
  return instance;
}

void SdlDevices::unplugged(int instance) {
  const auto found = open_.find(instance);
  if (found != open_.end()) {
    close(found->second);
    open_.erase(found);
  }
}

void SdlDevices::shut_down() {
  for (auto& [instance, device] : open_) {
    close(device);
  }
  open_.clear();
  SDL_QuitSubSystem(SDL_INIT_GAMECONTROLLER | SDL_INIT_JOYSTICK);
}

void SdlDevices::close(Device& device) {
  if (device.controller != nullptr) {
    SDL_GameControllerClose(device.controller);
  }
  SDL_JoystickClose(device.joystick);
}

bool SdlDevices::same_device(int instance) {
  const auto found = open_.find(instance);
  return found != open_.end() && found->second.guid == remembered_guid_;
}

void SdlDevices::remember(int instance) {
  remembered_guid_ = open_.at(instance).guid;
}

AxisThreshold& SdlDevices::axis(int instance, int axis) {
  Device& device = open_[instance];
  const auto found = device.axes.find(axis);
  if (found != device.axes.end()) {
    return found->second;
  }
  Sint16 rest = 0;
  if (SDL_JoystickGetAxisInitialState(device.joystick, axis, &rest) != SDL_TRUE) {
    rest = 0;
  }
  return device.axes.emplace(axis, AxisThreshold(rest, axis_share_)).first->second;
}

int& SdlDevices::hat(int instance, int hat) {
  return open_[instance].hats[hat];
}

std::optional<Control> SdlDevices::find_mapped(const std::string& name) const {
  std::optional<Control> control;
  for (const auto& [instance, device] : open_) {
    if (device.controller == nullptr || control) {
      continue;
    }
    for_each_binding(device.controller, [&, id = instance](const auto& binding, const char* bound) {
      if (name == bound) {
        control = control_of(binding, id);
      }
    });
  }
  return control;
}

std::string SdlDevices::mapped_name(const Control& control) const {
  std::string name;
  const auto found = open_.find(control.device.value_or(-1));
  if (found != open_.end() && found->second.controller != nullptr) {
    for_each_binding(found->second.controller, [&](const auto& binding, const char* bound) {
      if (control_of(binding, found->first) == control) {
        name = bound;
      }
    });
  }
  return name;
}

std::string SdlDevices::device_name(int instance) const {
  const auto found = open_.find(instance);
  const char* name = found == open_.end() ? nullptr : SDL_JoystickName(found->second.joystick);
  return name == nullptr ? "" : name;
}

void SdlDevices::describe(int instance, session::Input& input) const {
  input.device = device_name(instance);
  const auto found = open_.find(instance);
  if (found == open_.end()) {
    return;
  }
  const GuidFacts facts = read_guid(found->second.guid);
  input.guid = found->second.guid;
  input.bus = facts.bus;
  input.driver = facts.driver;
  input.vendor = facts.vendor;
  input.product = facts.product;
}

std::optional<int> SdlDevices::first() const {
  return open_.empty() ? std::nullopt : std::optional(open_.begin()->first);
}

}  // namespace thumblight::harness
