#include "harness/system/lamps.hpp"

namespace thumblight::harness {
namespace {

constexpr char kLed[] = "led:";
constexpr char kRts[] = "rts:";

/// An LED's name is one of a folder, never a way out of it.
bool is_led_name(const std::string& name) {
  return !name.empty() && name != "." && name != ".." && name.find('/') == std::string::npos;
}

}  // namespace

std::optional<LampChoice> lamp_choice_of(const std::string& text) {
  const std::string kind = text.substr(0, 4);
  const std::string name = text.size() > 4 ? text.substr(4) : std::string();
  if (kind == kLed && is_led_name(name)) {
    return LampChoice{LampKind::kLed, name};
  }
  if (kind == kRts && !name.empty()) {
    return LampChoice{LampKind::kRts, name};
  }
  return std::nullopt;
}

std::string text_of(const LampChoice& choice) {
  return (choice.kind == LampKind::kLed ? kLed : kRts) + choice.name;
}

std::unique_ptr<Lamp> open_lamp(const LampChoice& choice) {
  return choice.kind == LampKind::kLed ? open_led_lamp(choice.name) : open_rts_lamp(choice.name);
}

}  // namespace thumblight::harness
