#pragma once

#include <optional>

#include "tests/bench/key_injector.hpp"
#include "tests/bench/pixel_observer.hpp"

namespace thumblight::bench {

/// One press as the observer saw it: when it was injected, and when lamp and patch lit up. There is
/// no light where the harness withheld it, as it does where a busy machine turned the patch dark
/// too late.
struct SeenPress {
  Injection press;
  LevelChange lamp;
  std::optional<LevelChange> light;
};

}  // namespace thumblight::bench
