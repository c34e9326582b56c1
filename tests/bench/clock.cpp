#include "tests/bench/clock.hpp"

#include <time.h>

#include <cerrno>

namespace thumblight::bench {

std::int64_t monotonic_raw_ns() {
  timespec now{};
  clock_gettime(CLOCK_MONOTONIC_RAW, &now);
  return std::int64_t{now.tv_sec} * kNsPerS + now.tv_nsec;
}

void sleep_ns(std::int64_t duration_ns) {
  if (duration_ns <= 0) {
    return;
  }
  timespec left{duration_ns / kNsPerS, duration_ns % kNsPerS};
  while (clock_nanosleep(CLOCK_MONOTONIC, 0, &left, &left) == EINTR) {
  }
}

}  // namespace thumblight::bench
