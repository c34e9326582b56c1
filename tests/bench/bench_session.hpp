#pragma once

#include "tests/bench/flash_pairing.hpp"
#include "tests/bench/harness_run.hpp"

namespace thumblight::bench {

/// One whole session of the harness on the bench.
struct SessionPlan {
  HarnessPlan harness;
  GapPlan gaps;
  Size screen;
};

/// What the bench saw of it, and what the harness wrote.
struct SessionResult {
  Pairing pairing;
  session::Log log;
  ObserverRate rate;
  int exit_code = 0;
};

/// The shortest hold that no pause in watching hides, and the shortest gaps at which every press
/// may then flash. The harness lets a flash begin once the third last has been dark for 1.05 s, so
/// three gaps must exceed that and the hold, and what a busy machine adds.
inline constexpr int kShortHoldMs = 100;
GapPlan shortest_gaps(int presses, std::uint64_t seed);

/// Gaps with a quarter of a second to spare, for a machine that is busy with other things.
GapPlan easy_gaps(int presses, std::uint64_t seed);

/// Runs the harness, presses as planned, and writes `timings.csv` beside its `session.jsonl`.
/// Throws `Error` if the harness does not come up or does not end.
SessionResult run_session(const SessionPlan& plan);

}  // namespace thumblight::bench
