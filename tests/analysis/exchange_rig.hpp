#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <random>
#include <thread>
#include <vector>

#include "harness/session/records.hpp"

/// A host and a sensor that exchange requests and answers over a real pseudo-terminal.
namespace thumblight::test {

/// CLOCK_MONOTONIC_RAW, the clock of the host and of the truth.
std::int64_t raw_now_ns();

/// A sensor's own clock: it read `base_s` at `host_ns`, and gains `rate` on the host's.
struct SensorClock {
  std::int64_t host_ns = 0;
  double base_s = 0;
  double rate = 0;

  double at(std::int64_t t_ns) const {
    return base_s + static_cast<double>(t_ns - host_ns) * 1e-9 * (1 + rate);
  }
  /// The truth: host less sensor at the sensor's time `t_s`, the host counted in seconds after
  /// `host_ns` and the sensor after `base_s`.
  double offset_at(double t_s) const {
    const double since_s = t_s - base_s;
    return since_s / (1 + rate) - since_s;
  }
};

/// What the line adds each way beyond what the system takes, in seconds.
struct LineDelays {
  double there_s = 0;
  double back_s = 0;
  double jitter_s = 0;  ///< mean of an exponential that comes on top, each way anew
};

/// The sensor: waits on its end of the line from a thread of its own, and answers each request with
/// the moments at which it came and at which the answer goes, on its own clock.
class Sensor {
 public:
  Sensor(const SensorClock& clock, const LineDelays& delays, unsigned seed);
  ~Sensor();
  Sensor(const Sensor&) = delete;
  Sensor& operator=(const Sensor&) = delete;

  /// The host's side: so many exchanges at uneven moments. Throws `std::runtime_error` if no answer
  /// comes within ten seconds.
  std::vector<session::Exchange> exchange(std::size_t count);

 private:
  void serve();
  void answer();
  session::Exchange ask() const;

  SensorClock clock_;
  LineDelays delays_;
  std::mt19937 random_;
  int sensor_end_ = -1;
  int host_end_ = -1;
  std::thread thread_;
};

/// The table that `read_exchange_table` reads.
void write_exchange_table(const std::vector<session::Exchange>& exchanges,
                          const std::filesystem::path& file);

}  // namespace thumblight::test
