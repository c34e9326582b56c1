#pragma once

#include <optional>
#include <string>

#include "harness/run/control.hpp"
#include "harness/session/records.hpp"
#include "harness/system/sdl_devices.hpp"

/// A control in words: "key:space", "mouse:left", "touch", "pad:a", "joy:button3", "joy:axis2+",
/// "joy:hat0up". Names after "key:" and "pad:" are SDL's, in small letters.
namespace thumblight::harness {

/// The control so named. Those of controllers are looked for on the devices that are plugged in.
/// Throws `Error` for a name that is none, and where no device has it.
Control parse_control(const std::string& name, const SdlDevices& devices);

/// True if the named control is on a controller or joystick.
bool needs_device(const std::string& name);

/// The name under which `parse_control` finds it again.
std::string control_name(const Control& control, const SdlDevices& devices);

/// As a person reads it: "Space", "the left mouse button", "a".
std::string spoken_name(const Control& control, const SdlDevices& devices);

/// The header's part on the control.
session::Input describe_input(const Control& control, const SdlDevices& devices);

/// The control that leaves a dialogue.
Control escape_key();

}  // namespace thumblight::harness
