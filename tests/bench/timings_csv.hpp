#pragma once

#include <filesystem>
#include <vector>

#include "tests/bench/flash_pairing.hpp"

namespace thumblight::bench {

/// Writes `press_s,light_s,press_u_s,light_u_s`: host seconds with nine decimals and standard
/// uncertainties; the cells of a light that was not seen are empty. Throws `Error`.
///
/// The press is its stamp before the request left; the request left up to a width `w` later, so
/// its standard uncertainty about that edge is w / √3.
void write_timings(const std::filesystem::path& file, const std::vector<TimedPress>& presses);

}  // namespace thumblight::bench
