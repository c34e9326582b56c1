#pragma once

#include <cstdint>
#include <filesystem>
#include <vector>

#include "tests/bench/film/seen_press.hpp"

namespace thumblight::bench {

/// Writes what the observer saw of each press, for a person to hold against timings.json: stamps
/// of the host and, as seconds on the film's own time line, lamp and light with their standard
/// uncertainties. `first_ns` is the host's time of the film's time 0. Throws `Error`.
void write_observed(const std::filesystem::path& file, const std::vector<SeenPress>& presses,
                    std::int64_t first_ns);

}  // namespace thumblight::bench
