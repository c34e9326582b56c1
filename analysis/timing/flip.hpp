#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "harness/session/records.hpp"

namespace thumblight::timing {

/// The refresh at which the first bright frame of each logged press could first be scanned out.
struct Flips {
  std::string how;                                 ///< "submit": the submit is taken for the flip
  std::vector<std::optional<std::int64_t>> at_ns;  ///< one a logged press; empty where unflashed
};

/// Takes each press's submit for its flip: the earliest that the flip can be, so that the wait for
/// the refresh counts as screen.
Flips find_flips(const session::Log& log);

}  // namespace thumblight::timing
