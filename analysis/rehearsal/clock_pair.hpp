#pragma once

#include <cstdint>

namespace thumblight::rehearsal {

/// The host's clock against the recording's: host = recording + theta(t), with
/// theta(t) = theta0 + theta1 * t + theta2 * t^2 and t the recording's time in seconds.
///
/// The simulated world runs on *bench time*: seconds of the host's clock since theta0. As theta0
/// is a whole number of nanoseconds, going from bench to host time loses nothing but the rounding
/// to a nanosecond, however large the offset.
class ClockPair {
 public:
  ClockPair(std::int64_t theta0_ns, double theta1, double theta2_per_s);

  double bench_s(double recording_s) const;
  double recording_s(double bench_s) const;
  std::int64_t host_ns(double bench_s) const;
  double bench_from_host_s(std::int64_t host_ns) const;
  /// Seconds of the bench that pass in one second of the recording at that time.
  double slope(double recording_s) const;

 private:
  std::int64_t theta0_ns_;
  double theta1_;
  double theta2_per_s_;
};

}  // namespace thumblight::rehearsal
