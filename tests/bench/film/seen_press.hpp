#pragma once

#include "tests/bench/key_injector.hpp"
#include "tests/bench/pixel_observer.hpp"

namespace thumblight::bench {

/// One press as the observer saw it: when it was injected, and when lamp and patch lit up.
struct SeenPress {
  Injection press;
  LevelChange lamp;
  LevelChange light;
};

}  // namespace thumblight::bench
