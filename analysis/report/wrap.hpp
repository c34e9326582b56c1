#pragma once

#include <cstddef>
#include <string>

namespace thumblight::report {

inline constexpr std::size_t kTerminalColumns = 80;

/// The text as lines of a terminal, broken at its spaces so that each fits where its words do; the
/// last line ends too.
std::string wrap(const std::string& text);

}  // namespace thumblight::report
