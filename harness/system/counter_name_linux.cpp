#include "harness/system/sdl_clock.hpp"

namespace thumblight::harness {

std::string counter_name() {
  return "CLOCK_MONOTONIC_RAW";
}

}  // namespace thumblight::harness
