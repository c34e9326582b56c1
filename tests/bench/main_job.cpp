#include <algorithm>
#include <cstdio>
#include <fstream>
#include <iostream>

#include "harness/session/error.hpp"
#include "tests/bench/bench_session.hpp"
#include "tests/bench/commands.hpp"
#include "tests/bench/session_faults.hpp"

namespace thumblight::bench {
namespace {

void print_file(const std::filesystem::path& file) {
  std::ifstream input(file);
  if (input.peek() != std::ifstream::traits_type::eof()) {
    std::cout << input.rdbuf();
  }
}

void print_session(const SessionPlan& plan, const SessionResult& result) {
  std::size_t lights = 0;
  for (const TimedPress& press : result.pairing.presses) {
    lights += press.light ? 1 : 0;
  }
  std::printf(
      "\n%s: %zu presses made, %zu logged, %zu lit the patch; pixels read %.0f times a "
      "second, largest gap %.2f ms\n",
      plan.harness.pacing.c_str(), result.pairing.presses.size(), result.log.presses.size(), lights,
      result.rate.rate_hz, static_cast<double>(result.rate.largest_gap_ns) / 1e6);
  std::fflush(stdout);
}

/// Tells what was not as it must be: a press lost or invented, an effect before its cause.
int print_faults(const SessionResult& result) {
  const std::vector<std::string> faults = faults_of(result);
  for (const std::string& fault : faults) {
    std::printf("FAULT: %s\n", fault.c_str());
  }
  std::fflush(stdout);
  return faults.empty() ? kExitGood : kExitFailed;
}

int split(const BenchOptions& options, const std::filesystem::path& folder) {
  ChildPlan plan;
  plan.program = options.analysis;
  plan.arguments = {"split", folder.string(), "--clock-link", "shared"};
  plan.stdout_file = folder.string() + ".split.txt";
  plan.stderr_file = folder.string() + ".split-errors.txt";
  const int code = run_program(plan, 120);
  print_file(plan.stdout_file);
  print_file(plan.stderr_file);
  return code;
}

}  // namespace

int main_job(const BenchOptions& options) {
  int worst = kExitGood;
  for (const char* pacing : {"on-press", "every-frame", "frame-start"}) {
    SessionPlan plan;
    plan.harness.program = options.harness;
    plan.harness.folder = options.out / pacing;
    plan.harness.pacing = pacing;
    plan.harness.label = std::string("pacing=") + pacing;
    plan.harness.presses = options.presses > 0 ? options.presses : 40;
    plan.gaps.presses = plan.harness.presses;
    plan.gaps.seed = options.seed;
    const SessionResult result = run_session(plan);
    print_session(plan, result);
    worst = std::max({worst, print_faults(result), split(options, plan.harness.folder)});
  }
  return worst == 0 ? kExitGood : kExitFailed;
}

}  // namespace thumblight::bench
