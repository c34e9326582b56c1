#include "tests/benchmark/measured_child.hpp"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <stdexcept>

namespace thumblight::benchmark {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

[[noreturn]] void run_and_exit(const std::function<void()>& work) {
  try {
    work();
    std::_Exit(0);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    std::_Exit(1);
  }
}

}  // namespace

Cost measure_child(const std::function<void()>& work) {
  std::fflush(stdout);
  const Clock::time_point start = Clock::now();
  const pid_t child = fork();
  if (child < 0) {
    throw std::runtime_error("no process can be started");
  }
  if (child == 0) {
    run_and_exit(work);
  }
  int status = 0;
  rusage usage{};
  if (wait4(child, &status, 0, &usage) != child || status != 0) {
    throw std::runtime_error("the measured work failed");
  }
  return {seconds_since(start), static_cast<double>(usage.ru_maxrss) / 1024};
}

double seconds_of_command(const std::string& command) {
  const Clock::time_point start = Clock::now();
  if (std::system(command.c_str()) != 0) {
    throw std::runtime_error("failed: " + command);
  }
  return seconds_since(start);
}

double median_of_three(double a, double b, double c) {
  return std::max(std::min(a, b), std::min(std::max(a, b), c));
}

bool print_against(const char* what, double value, double limit) {
  const bool met = value <= limit;
  std::printf("%s %.3f (limit %.2f) %s\n", what, value, limit, met ? "met" : "MISSED");
  return met;
}

}  // namespace thumblight::benchmark
