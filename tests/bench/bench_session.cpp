#include "tests/bench/bench_session.hpp"

#include "harness/session/reader.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/pixel_observer.hpp"
#include "tests/bench/timings_csv.hpp"

namespace thumblight::bench {
namespace {

/// A moment for the focus to settle before the first press.
constexpr std::int64_t kSettleNs = 300 * kNsPerMs;

}  // namespace

GapPlan shortest_gaps(int presses, std::uint64_t seed) {
  return {presses, 0.42, 0.48, 0.02, seed};
}

GapPlan easy_gaps(int presses, std::uint64_t seed) {
  return {presses, 0.5, 0.6, 0.02, seed};
}

SessionResult run_session(const SessionPlan& plan) {
  const VirtualDisplay display(plan.screen);
  HarnessRun run(display, plan.harness);
  PixelObserver observer({run.patch_centre()}, run.halfway_level());
  sleep_ns(kSettleNs);
  const std::vector<Injection> injections = inject(run.injector(), plan.gaps);

  SessionResult result;
  const double hold_s = plan.harness.hold_ms / 1e3;
  result.exit_code = run.finish(plan.harness.presses > 0 ? hold_s + 3 : hold_s + 0.2);
  observer.stop();
  result.rate = observer.rate();
  result.pairing = pair_flashes(injections, observer.changes());
  result.log = session::read_log(plan.harness.folder / "session.jsonl");
  write_timings(plan.harness.folder / "timings.csv", result.pairing.presses);
  return result;
}

}  // namespace thumblight::bench
