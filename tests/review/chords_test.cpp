#include "analysis/review/chords.hpp"

#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "analysis/review/actions.hpp"

using namespace thumblight::review;

namespace {

struct SdlParts {
  SdlParts() {
    SDL_SetHint(SDL_HINT_JOYSTICK_ALLOW_BACKGROUND_EVENTS, "1");
    SDL_setenv("SDL_VIDEODRIVER", "dummy", 1);
    REQUIRE(SDL_Init(SDL_INIT_VIDEO | SDL_INIT_GAMECONTROLLER) == 0);
  }
  ~SdlParts() { SDL_Quit(); }
};

std::vector<std::string> names_now(ChordReader& reader) {
  std::vector<std::string> names;
  SDL_JoystickUpdate();
  SDL_Event event;
  while (SDL_PollEvent(&event) != 0) {
    for (const Chord& chord : reader.take(event)) {
      names.push_back(chord.name);
    }
  }
  return names;
}

SDL_Event key(SDL_Keycode code, Uint16 modifiers, bool again = false) {
  SDL_Event event{};
  event.type = SDL_KEYDOWN;
  event.key.keysym.sym = code;
  event.key.keysym.scancode = SDL_GetScancodeFromKey(code);
  event.key.keysym.mod = modifiers;
  event.key.repeat = again ? 1 : 0;
  return event;
}

}  // namespace

TEST_CASE("a controller's buttons, triggers and stick become chords, and come again while held") {
  const SdlParts sdl;
  const int device = SDL_JoystickAttachVirtual(
      SDL_JOYSTICK_TYPE_GAMECONTROLLER, SDL_CONTROLLER_AXIS_MAX, SDL_CONTROLLER_BUTTON_MAX, 0);
  REQUIRE(device >= 0);
  ChordReader reader;
  names_now(reader);  // opens it
  SDL_Joystick* pad = SDL_JoystickFromInstanceID(SDL_JoystickGetDeviceInstanceID(device));
  REQUIRE(pad != nullptr);
  const auto press = [&](SDL_GameControllerButton button, Uint8 down) {
    SDL_JoystickSetVirtualButton(pad, button, down);
    return names_now(reader);
  };
  CHECK(press(SDL_CONTROLLER_BUTTON_A, 1) == std::vector<std::string>{"pad A"});
  CHECK(press(SDL_CONTROLLER_BUTTON_A, 0).empty());
  CHECK(reader.was_let_go());
  CHECK_FALSE(reader.was_let_go());
  CHECK(press(SDL_CONTROLLER_BUTTON_DPAD_LEFT, 1) == std::vector<std::string>{"pad left"});
  const Uint32 now_ms = SDL_GetTicks();
  CHECK(reader.held(now_ms + 300).empty());
  REQUIRE(reader.held(now_ms + 1000).size() == 1);
  CHECK(reader.held(now_ms + 1000).empty());
  CHECK(reader.held(now_ms + 1050).front().again);
  press(SDL_CONTROLLER_BUTTON_DPAD_LEFT, 0);
  CHECK(reader.held(now_ms + 5000).empty());
  SDL_JoystickSetVirtualAxis(pad, SDL_CONTROLLER_AXIS_RIGHTX, -30000);
  CHECK(names_now(reader) == std::vector<std::string>{"pad right stick left"});
  SDL_JoystickSetVirtualAxis(pad, SDL_CONTROLLER_AXIS_RIGHTX, 0);
  SDL_JoystickSetVirtualAxis(pad, SDL_CONTROLLER_AXIS_TRIGGERRIGHT, 32000);
  CHECK(names_now(reader) == std::vector<std::string>{"pad right trigger"});
  press(SDL_CONTROLLER_BUTTON_B, 1);
  SDL_JoystickDetachVirtual(device);
  names_now(reader);
  CHECK(reader.held(now_ms + 9000).empty());  // nothing is held on one that is gone
}

TEST_CASE("every button that the tables name is one that a controller has") {
  const SdlParts sdl;
  const int device = SDL_JoystickAttachVirtual(
      SDL_JOYSTICK_TYPE_GAMECONTROLLER, SDL_CONTROLLER_AXIS_MAX, SDL_CONTROLLER_BUTTON_MAX, 0);
  ChordReader reader;
  names_now(reader);
  SDL_Joystick* pad = SDL_JoystickFromInstanceID(SDL_JoystickGetDeviceInstanceID(device));
  REQUIRE(pad != nullptr);
  std::vector<std::string> known;
  for (int button = 0; button < SDL_CONTROLLER_BUTTON_MAX; ++button) {
    SDL_JoystickSetVirtualButton(pad, button, 1);
    for (const std::string& name : names_now(reader)) {
      known.push_back(name);
    }
  }
  for (int axis = 0; axis < SDL_CONTROLLER_AXIS_MAX; ++axis) {
    for (const Sint16 value : {Sint16{-32000}, Sint16{32000}}) {
      SDL_JoystickSetVirtualAxis(pad, axis, value);
      for (const std::string& name : names_now(reader)) {
        known.push_back(name);
      }
    }
  }
  for (const Mode mode : {Mode::kLook, Mode::kRegions, Mode::kReasons, Mode::kHelp}) {
    for (const Binding& binding : bindings(mode)) {
      std::string rest = binding.chords;
      while (!rest.empty()) {
        const std::size_t bar = std::min(rest.find('|'), rest.size());
        const std::string chord = rest.substr(0, bar);
        rest.erase(0, bar + 1);
        if (chord.starts_with("pad ")) {
          INFO(chord);
          CHECK(std::find(known.begin(), known.end(), chord) != known.end());
        } else {
          INFO(chord);
          const std::string bare = chord.substr(chord.size() > 1 ? chord.rfind('+') + 1 : 0);
          CHECK((chord == "+" ||
                 SDL_GetKeyFromName(bare.empty() ? "+" : bare.c_str()) != SDLK_UNKNOWN));
        }
      }
    }
  }
  SDL_JoystickDetachVirtual(device);
  names_now(reader);
}

TEST_CASE("keys are written with their modifiers, whatever locks are on") {
  const SdlParts sdl;
  ChordReader reader;
  CHECK(reader.take(key(SDLK_RIGHT, KMOD_LSHIFT)).front().name == "Shift+Right");
  CHECK(reader.take(key(SDLK_RIGHT, KMOD_RSHIFT | KMOD_LCTRL)).front().name == "Shift+Ctrl+Right");
  CHECK(reader.take(key(SDLK_p, KMOD_NUM | KMOD_CAPS)).front().name == "P");
  CHECK(reader.take(key(SDLK_p, 0, true)).front().again);
  // On a keyboard with other letters the place of the key counts.
  SDL_Event cyrillic = key(SDLK_p, 0);
  cyrillic.key.keysym.sym = 0x437;
  CHECK(reader.take(cyrillic).front().other == "P");
}
