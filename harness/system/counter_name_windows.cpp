#include "harness/system/sdl_clock.hpp"

namespace thumblight::harness {

std::string counter_name() {
  return "QueryPerformanceCounter";
}

}  // namespace thumblight::harness
