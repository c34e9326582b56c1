#pragma once

#include <cmath>
#include <cstdint>

namespace thumblight::timing {

inline constexpr double kMsPerSecond = 1e3;

/// Where both clocks are counted from, so that their times fit doubles to less than a nanosecond:
/// host times of 1e15 ns do not. `recording_s` is a whole number of seconds.
struct Timebase {
  double recording_s = 0;
  std::int64_t host_ns = 0;

  /// Seconds of the recording after the base.
  double recording(double t_s) const { return t_s - recording_s; }

  /// Seconds of the host after the base.
  double host(std::int64_t t_ns) const {
    // Unsigned, because a hostile log may hold both ends of the range.
    const auto since = static_cast<std::uint64_t>(t_ns) - static_cast<std::uint64_t>(host_ns);
    return static_cast<double>(static_cast<std::int64_t>(since)) * 1e-9;
  }

  /// The base at the second in which `t_s` lies, on a host's clock that is the recording's own.
  static Timebase shared(double t_s) {
    const double whole_s = std::floor(t_s);
    return {whole_s, static_cast<std::int64_t>(whole_s) * 1'000'000'000};
  }
};

}  // namespace thumblight::timing
