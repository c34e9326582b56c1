#pragma once

#include <cstddef>
#include <string>

/// Cells of a table for a terminal. A width is counted in characters of UTF-8, not in bytes.
namespace thumblight::report {

/// How many columns the text takes.
std::size_t shown_width(const std::string& text);

/// Ranged left; a text that is wider stays whole.
std::string ranged_left(const std::string& text, std::size_t width);

/// Ranged right, with at least one space before it.
std::string ranged_right(const std::string& text, std::size_t width);

}  // namespace thumblight::report
