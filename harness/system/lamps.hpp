#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "harness/run/lamp.hpp"

/// The lamps that a system can switch.
namespace thumblight::harness {

enum class LampKind { kLed, kRts };

/// A lamp as the option names it.
struct LampChoice {
  LampKind kind = LampKind::kLed;
  std::string name;  ///< of the LED, or path of the serial line
};

/// Reads `led:NAME` or `rts:DEVICE`; empty if `text` is neither.
std::optional<LampChoice> lamp_choice_of(const std::string& text);
std::string text_of(const LampChoice& choice);

/// Opens the lamp and switches it off once, so that one that cannot be had or switched is told at
/// once. Throws `Error`.
std::unique_ptr<Lamp> open_lamp(const LampChoice& choice);

/// An LED of Linux' LED class, switched between 0 and its max_brightness.
std::unique_ptr<Lamp> open_led_lamp(const std::string& name,
                                    const std::filesystem::path& class_folder = "/sys/class/leds");

/// A lamp on the line RTS (request to send) of a serial port.
std::unique_ptr<Lamp> open_rts_lamp(const std::filesystem::path& device);

}  // namespace thumblight::harness
