#pragma once

#include <array>
#include <string>
#include <string_view>

namespace thumblight::harness {

/// A small font drawn for this program: every printable ASCII character in a cell of 5 by 9 dots,
/// seven above the base line and two below it.
inline constexpr int kGlyphWidth = 5;
inline constexpr int kGlyphHeight = 9;
/// From one character to the next, and from one line to the next, in dots.
inline constexpr int kAdvance = 6;
inline constexpr int kLineAdvance = 12;

/// True where the character has a dot. Anything but printable ASCII is drawn as a hollow box.
bool has_dot(char character, int column, int row);

/// The text with every character that the font lacks (each UTF-8 sequence, each control character)
/// replaced by one '?', so that its length is the number of cells that it takes.
std::string drawable(std::string_view utf8);

}  // namespace thumblight::harness
