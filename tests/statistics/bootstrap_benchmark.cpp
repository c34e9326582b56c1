/// Prints how long a bootstrap interval takes against its limit: 10,000 resamples of 1,000 values
/// in one second. Not a test: the time depends on the machine.

#include <chrono>
#include <cstdio>
#include <vector>

#include "analysis/statistics/bootstrap.hpp"
#include "analysis/statistics/bounded_draw.hpp"

namespace {

using namespace thumblight::statistics;

constexpr double kLimitSeconds = 1.0;

std::vector<double> thousand_values() {
  BoundedDraw draw(1);
  std::vector<double> values;
  values.reserve(1000);
  for (int i = 0; i < 1000; ++i) {
    values.push_back(40 + 0.001 * draw.below(20'000));
  }
  return values;
}

void measure(const char* name, const Statistic& statistic, const std::vector<double>& values) {
  const auto begin = std::chrono::steady_clock::now();
  const auto interval = bca_interval(values, statistic);
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
  std::printf(
      "%s: 10000 resamples of 1000 values in %.3f s, %.2f of the limit of %.1f s (%g to %g)\n",
      name, taken.count(), taken.count() / kLimitSeconds, kLimitSeconds, interval->interval.low,
      interval->interval.high);
}

}  // namespace

int main() {
  const std::vector<double> values = thousand_values();
  measure("mean", mean_statistic, values);
  measure("median", median_statistic, values);
}
