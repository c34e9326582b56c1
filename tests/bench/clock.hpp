#pragma once

#include <cstdint>

namespace thumblight::bench {

/// Nanoseconds on CLOCK_MONOTONIC_RAW, the clock behind SDL2's performance counter on Linux.
std::int64_t monotonic_raw_ns();

/// Sleeps for at least `duration_ns`; returns at once for nothing or less.
void sleep_ns(std::int64_t duration_ns);

inline constexpr std::int64_t kNsPerMs = 1'000'000;
inline constexpr std::int64_t kNsPerS = 1'000'000'000;

/// Whole nanoseconds of a duration in seconds.
constexpr std::int64_t ns_of_s(double duration_s) {
  return static_cast<std::int64_t>(duration_s * 1e9);
}

}  // namespace thumblight::bench
