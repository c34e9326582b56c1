#pragma once

#include <cstdint>
#include <string>

namespace thumblight::harness {

inline constexpr std::int64_t kMillisecond_ns = 1'000'000;
inline constexpr std::int64_t kSecond_ns = 1'000'000'000;

/// The one monotonic clock of a session.
class Clock {
 public:
  virtual ~Clock() = default;
  virtual std::int64_t now_ns() = 0;
};

}  // namespace thumblight::harness
