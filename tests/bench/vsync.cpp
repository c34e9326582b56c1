#include <cstdio>

#include "harness/session/error.hpp"
#include "tests/bench/bench_session.hpp"
#include "tests/bench/commands.hpp"
#include "tests/bench/quantile.hpp"

namespace thumblight::bench {
namespace {

struct Pace {
  const char* pacing;
  double limit_ms;  ///< of the median arrival lag; 0: none, shown for comparison
};

std::vector<double> arrival_lags_ms(const SessionResult& result) {
  const std::vector<session::Press>& logged = result.log.presses;
  if (logged.empty() || logged.size() != result.pairing.presses.size()) {
    throw Error(std::to_string(result.pairing.presses.size()) + " presses were made, " +
                std::to_string(logged.size()) + " were logged: the lags cannot be told");
  }
  std::vector<double> lags_ms;
  for (std::size_t index = 0; index < logged.size(); ++index) {
    lags_ms.push_back(static_cast<double>(logged[index].arrival_ns -
                                          result.pairing.presses[index].press.before_ns) /
                      1e6);
  }
  return lags_ms;
}

bool print_pace(const Pace& pace, const std::vector<double>& lags_ms) {
  const double median_ms = quantile(lags_ms, 0.5);
  const bool passes = pace.limit_ms == 0 || median_ms < pace.limit_ms;
  std::printf("%-12s %4zu  %8.3f  %8.3f  %8.3f  ", pace.pacing, lags_ms.size(), median_ms,
              quantile(lags_ms, 0.99), quantile(lags_ms, 1));
  if (pace.limit_ms == 0) {
    std::printf("(no limit)\n");
  } else {
    std::printf("median / limit %.2f of 1  %s\n", median_ms / pace.limit_ms,
                passes ? "PASS" : "OVER");
  }
  std::fflush(stdout);
  return passes;
}

}  // namespace

int vsync(const BenchOptions& options) {
  std::printf("Injected to arrival stamp, OpenGL with vsync, ms\n");
  std::printf("pacing          n    median       p99       max\n");
  bool good = true;
  for (const Pace& pace : {Pace{"frame-start", 0}, Pace{"on-press", 1}, Pace{"every-frame", 1}}) {
    SessionPlan plan;
    plan.harness.program = options.harness;
    plan.harness.folder = options.out / ("vsync-" + std::string(pace.pacing));
    plan.harness.pacing = pace.pacing;
    plan.harness.presses = options.presses > 0 ? options.presses : 100;
    plan.harness.hold_ms = kShortHoldMs;
    plan.gaps = shortest_gaps(plan.harness.presses, options.seed);
    good = print_pace(pace, arrival_lags_ms(run_session(plan))) && good;
  }
  return good ? kExitGood : kExitFailed;
}

}  // namespace thumblight::bench
