#pragma once

#include <memory>

#include "harness/system/sdl_clock.hpp"
#include "harness/system/sdl_devices.hpp"
#include "harness/system/sdl_input.hpp"
#include "harness/system/sdl_window.hpp"

namespace thumblight::harness {

/// SDL's parts in the order in which they need each other.
struct Stage {
  Stage(const WindowSettings& settings, double axis_share, bool with_devices)
      : library(SDL_INIT_VIDEO | (with_devices ? SDL_INIT_GAMECONTROLLER : 0U)),
        devices(axis_share),
        input(clock, devices),
        window(settings),
        screen(make_screen(window, clock, settings)) {
    input.pump();
  }

  SdlClock clock;
  SdlLibrary library;
  SdlDevices devices;
  SdlInput input;
  SdlWindow window;
  std::unique_ptr<SdlScreen> screen;
};

}  // namespace thumblight::harness
