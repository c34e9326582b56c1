#include "harness/system/sdl_clock.hpp"

#include <SDL.h>

#include <algorithm>

namespace thumblight::harness {

std::int64_t SdlClock::now_ns() {
  const std::uint64_t count = SDL_GetPerformanceCounter();
  const std::uint64_t frequency = SDL_GetPerformanceFrequency();
  // Whole seconds first: the product of count and 10^9 would overflow within hours.
  return static_cast<std::int64_t>(count / frequency * kSecond_ns +
                                   count % frequency * kSecond_ns / frequency);
}

std::int64_t SdlClock::resolution_ns() {
  std::int64_t least_ns = kSecond_ns;
  for (int trial = 0; trial < 1000; ++trial) {
    const std::int64_t before_ns = now_ns();
    std::int64_t after_ns = now_ns();
    while (after_ns == before_ns) {
      after_ns = now_ns();
    }
    least_ns = std::min(least_ns, after_ns - before_ns);
  }
  return least_ns;
}

}  // namespace thumblight::harness
