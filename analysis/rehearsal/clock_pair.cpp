#include "analysis/rehearsal/clock_pair.hpp"

#include <cmath>

namespace thumblight::rehearsal {

ClockPair::ClockPair(std::int64_t theta0_ns, double theta1, double theta2_per_s)
    : theta0_ns_(theta0_ns), theta1_(theta1), theta2_per_s_(theta2_per_s) {}

double ClockPair::bench_s(double recording_s) const {
  return recording_s + (theta1_ + theta2_per_s_ * recording_s) * recording_s;
}

double ClockPair::slope(double recording_s) const {
  return 1.0 + theta1_ + 2.0 * theta2_per_s_ * recording_s;
}

double ClockPair::recording_s(double bench_s) const {
  double t = bench_s / (1.0 + theta1_);
  for (int step = 0; theta2_per_s_ != 0.0 && step < 8; ++step) {
    t -= (this->bench_s(t) - bench_s) / slope(t);
  }
  return t;
}

std::int64_t ClockPair::host_ns(double bench_s) const {
  return theta0_ns_ + std::llround(bench_s * 1e9);
}

double ClockPair::bench_from_host_s(std::int64_t host_ns) const {
  return static_cast<double>(host_ns - theta0_ns_) * 1e-9;
}

}  // namespace thumblight::rehearsal
