#include <cstdio>

#include "harness/session/error.hpp"
#include "tests/bench/commands.hpp"
#include "tests/bench/session_faults.hpp"

namespace thumblight::bench {

int long_run(const BenchOptions& options) {
  std::size_t fault_count = 0;
  for (const char* pacing : {"on-press", "every-frame", "frame-start"}) {
    SessionPlan plan;
    plan.harness.program = options.harness;
    plan.harness.folder = options.out / ("long-" + std::string(pacing));
    plan.harness.pacing = pacing;
    plan.harness.presses = options.presses > 0 ? options.presses : 500;
    plan.harness.hold_ms = kShortHoldMs;
    plan.harness.rest_ms = 50;
    plan.gaps = shortest_gaps(plan.harness.presses, options.seed);
    const SessionResult result = run_session(plan);
    const std::vector<std::string> faults = faults_of(result);
    std::printf("%s: %zu presses made, %zu logged, %zu faults; most flashes in a second: %d\n",
                pacing, result.pairing.presses.size(), result.log.presses.size(), faults.size(),
                most_flashes_in_a_second(result.pairing.presses));
    for (const std::string& fault : faults) {
      std::printf("  %s\n", fault.c_str());
    }
    std::fflush(stdout);
    fault_count += faults.size();
  }
  return fault_count == 0 ? kExitGood : kExitFailed;
}

}  // namespace thumblight::bench
