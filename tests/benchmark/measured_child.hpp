#pragma once

#include <functional>
#include <string>

/// What a piece of work costs when it runs in a process of its own.
namespace thumblight::benchmark {

struct Cost {
  double wall_s = 0;
  double peak_mb = 0;  ///< greatest resident memory of the process
};

/// Runs `work` in a child process. Throws `std::runtime_error` where it throws or crashes.
Cost measure_child(const std::function<void()>& work);

/// Wall time of a shell command. Throws `std::runtime_error` where it fails.
double seconds_of_command(const std::string& command);

double median_of_three(double a, double b, double c);

/// Prints `value` against `limit`; true where it is met.
bool print_against(const char* what, double value, double limit);

}  // namespace thumblight::benchmark
