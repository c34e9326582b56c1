#pragma once

#include <cstddef>
#include <string>

namespace thumblight::report {

inline constexpr std::size_t kTerminalColumns = 80;

/// The text as lines of a terminal, broken at its spaces so that each fits where its words do; the
/// last line ends too. Lines after the first begin with `indent` spaces.
std::string wrap(const std::string& text, std::size_t columns = kTerminalColumns,
                 std::size_t indent = 0);

}  // namespace thumblight::report
