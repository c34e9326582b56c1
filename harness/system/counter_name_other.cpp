#include "harness/system/sdl_clock.hpp"

namespace thumblight::harness {

std::string counter_name() {
  return "SDL_GetPerformanceCounter";
}

}  // namespace thumblight::harness
