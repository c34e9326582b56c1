#pragma once

#include <vector>

#include "analysis/onset/timings.hpp"

namespace thumblight::onset {

/// Pairs each light with the press that led to it. What has no partner is kept and flagged
/// `no-light` or `no-press`; nothing is paired by force.
std::vector<PressTiming> pair_instants(std::vector<Instant> presses, std::vector<Instant> lights,
                                       const std::vector<Instant>& lamps);

}  // namespace thumblight::onset
