#include "tests/bench/flash_pairing.hpp"

namespace thumblight::bench {

Pairing pair_flashes(const std::vector<Injection>& injections,
                     const std::vector<LevelChange>& changes) {
  Pairing pairing;
  for (const Injection& injection : injections) {
    pairing.presses.push_back({injection, {}});
  }
  std::size_t begun = 0;  // presses injected by the time of the change
  for (const LevelChange& change : changes) {
    while (begun < injections.size() && injections[begun].before_ns <= change.after_ns) {
      ++begun;
    }
    if (!change.rising) {
      continue;
    }
    if (begun == 0 || pairing.presses[begun - 1].light) {
      pairing.unexplained.push_back(change);
    } else {
      pairing.presses[begun - 1].light = change;
    }
  }
  return pairing;
}

}  // namespace thumblight::bench
