#pragma once

#include <optional>
#include <vector>

#include "tests/bench/key_injector.hpp"
#include "tests/bench/pixel_observer.hpp"

namespace thumblight::bench {

/// One injected press with the light that followed it, if any.
struct TimedPress {
  Injection press;
  std::optional<LevelChange> light;
};

struct Pairing {
  std::vector<TimedPress> presses;       ///< one for each injection
  std::vector<LevelChange> unexplained;  ///< lights that no press can have caused
};

/// Gives each press the first rise between it and the next press. Any other rise is unexplained.
Pairing pair_flashes(const std::vector<Injection>& injections,
                     const std::vector<LevelChange>& changes);

}  // namespace thumblight::bench
