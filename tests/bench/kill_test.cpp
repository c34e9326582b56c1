#include <algorithm>
#include <cstdio>
#include <random>

#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"
#include "tests/bench/bench_session.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/commands.hpp"

namespace thumblight::bench {
namespace {

constexpr int kKills = 50;
constexpr int kMostPresses = 5;
/// A press is in flight until its present call has returned and its record is written: a few
/// refreshes at most. One that is missing later than this is lost.
constexpr std::int64_t kLongestFlightNs = 100 * kNsPerMs;

/// One way to run the harness; the kills go round them.
struct Variant {
  const char* pacing;
  const char* renderer;
  bool vsync;
};
constexpr Variant kVariants[] = {{"on-press", "software", false},
                                 {"on-press", "hardware", true},
                                 {"every-frame", "hardware", true},
                                 {"frame-start", "hardware", true}};

/// When a session is killed: some presses, then a while after the last.
struct Kill {
  Variant variant;
  int presses;
  std::int64_t delay_ns;
};

/// Every other kill falls within 40 ms of a press, where the record is being made; the rest
/// anywhere up to half a second after it.
Kill plan_kill(int number, std::mt19937_64& engine) {
  const std::int64_t longest_ns = (number % 2 == 0 ? 40 : 500) * kNsPerMs;
  return {kVariants[number / 2 % 4], std::uniform_int_distribution<int>(1, kMostPresses)(engine),
          std::uniform_int_distribution<std::int64_t>(0, longest_ns)(engine)};
}

struct Remains {
  std::size_t made = 0;
  std::size_t lit = 0;
  std::size_t logged = 0;
  bool in_flight = false;  ///< the last press lit the patch and had not reached the log
  bool cut = false;
  std::string fault;
};

HarnessPlan harness_plan(const BenchOptions& options, const Variant& variant, int number) {
  HarnessPlan plan;
  plan.program = options.harness;
  plan.folder = options.out / ("kill-" + std::to_string(number));
  plan.pacing = variant.pacing;
  plan.renderer = variant.renderer;
  plan.vsync = variant.vsync;
  plan.presses = 0;
  plan.hold_ms = kShortHoldMs;
  return plan;
}

/// The faults of a log against the flashes that were seen before the kill.
void judge(Remains& remains, const Kill& kill, const Pairing& pairing, const session::Log& log) {
  remains.made = pairing.presses.size();
  remains.logged = log.presses.size();
  remains.cut = log.cut;
  for (std::size_t index = 0; index < pairing.presses.size(); ++index) {
    const TimedPress& press = pairing.presses[index];
    remains.lit += press.light ? 1 : 0;
    const bool missing = press.light && index >= log.presses.size();
    const bool can_fly = index + 1 == pairing.presses.size() && kill.delay_ns <= kLongestFlightNs;
    remains.in_flight = remains.in_flight || (missing && can_fly);
    if (missing && !can_fly) {
      remains.fault = "press " + std::to_string(index) + " lit the patch and is not in the log";
    }
    if (index < log.presses.size() && log.presses[index].arrival_ns < press.press.before_ns) {
      remains.fault = "press " + std::to_string(index) + " arrived before it was made";
    }
  }
  if (remains.logged > remains.made || !pairing.unexplained.empty()) {
    remains.fault = "there is more in the log or on the screen than was pressed";
  }
}

Remains kill_once(const BenchOptions& options, const Kill& kill, int number) {
  const VirtualDisplay display({1280, 720});
  const HarnessPlan plan = harness_plan(options, kill.variant, number);
  HarnessRun run(display, plan);
  PixelObserver observer({run.patch_centre()}, run.halfway_level());
  sleep_ns(200 * kNsPerMs);
  GapPlan gaps = shortest_gaps(kill.presses, options.seed + static_cast<std::uint64_t>(number));
  gaps.held_s = 0;  // the kill may come before a release would
  const std::vector<Injection> injections = inject(run.injector(), gaps);
  sleep_ns(injections.back().before_ns + kill.delay_ns - monotonic_raw_ns());
  run.process().kill();
  sleep_ns(20 * kNsPerMs);  // what the server had been sent still reaches the screen
  observer.stop();

  Remains remains;
  try {
    judge(remains, kill, pair_flashes(injections, observer.changes()),
          session::read_log(plan.folder / "session.jsonl"));
  } catch (const Error& error) {
    remains.fault = std::string("the log cannot be read: ") + error.what();
  }
  return remains;
}

void print_remains(int number, const Kill& kill, const Remains& remains) {
  std::printf("%3d  %-11s %-8s  %7.2f  %4zu  %3zu  %6zu  %-9s  %-3s  %s\n", number,
              kill.variant.pacing, kill.variant.renderer, static_cast<double>(kill.delay_ns) / 1e6,
              remains.made, remains.lit, remains.logged, remains.in_flight ? "in flight" : "",
              remains.cut ? "cut" : "", remains.fault.c_str());
  std::fflush(stdout);
}

}  // namespace

int kill_test(const BenchOptions& options) {
  std::mt19937_64 engine(options.seed);
  int faults = 0;
  int in_flight = 0;
  double longest_in_flight_ms = 0;
  std::printf("  #  pacing      renderer  after ms  made  lit  logged\n");
  const int kills = options.presses > 0 ? options.presses : kKills;
  for (int number = 0; number < kills; ++number) {
    const Kill kill = plan_kill(number, engine);
    const Remains remains = kill_once(options, kill, number);
    print_remains(number, kill, remains);
    faults += remains.fault.empty() ? 0 : 1;
    if (remains.in_flight) {
      ++in_flight;
      longest_in_flight_ms =
          std::max(longest_in_flight_ms, static_cast<double>(kill.delay_ns) / 1e6);
    }
  }
  std::printf(
      "%d kills: %d faults; %d presses were lit and still in flight, the oldest %.2f ms "
      "after it was made\n",
      kills, faults, in_flight, longest_in_flight_ms);
  return faults == 0 ? kExitGood : kExitFailed;
}

}  // namespace thumblight::bench
