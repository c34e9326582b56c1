#pragma once

#include <filesystem>

#include "tests/bench/virtual_display.hpp"

namespace thumblight::bench {

/// Writes the screen as it is now as a PNG, and its name to standard output. Throws `Error`.
void shoot(const VirtualDisplay& display, const std::filesystem::path& png);

}  // namespace thumblight::bench
