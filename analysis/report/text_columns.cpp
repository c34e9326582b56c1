#include "analysis/report/text_columns.hpp"

#include <algorithm>

namespace thumblight::report {

std::size_t shown_width(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;  // what goes on a character has 10......
  }));
}

std::string ranged_left(const std::string& text, std::size_t width) {
  const std::size_t shown = shown_width(text);
  return text + std::string(shown < width ? width - shown : 0, ' ');
}

std::string ranged_right(const std::string& text, std::size_t width) {
  const std::size_t shown = shown_width(text);
  return std::string(shown < width ? width - shown : 1, ' ') + text;
}

}  // namespace thumblight::report
