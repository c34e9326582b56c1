#include "analysis/timing/flip.hpp"

namespace thumblight::timing {

Flips find_flips(const session::Log& log) {
  Flips flips{"submit", {}};
  flips.at_ns.reserve(log.presses.size());
  for (const session::Press& press : log.presses) {
    flips.at_ns.push_back(press.flashed ? press.submit_ns : std::nullopt);
  }
  return flips;
}

}  // namespace thumblight::timing
