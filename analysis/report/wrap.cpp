#include "analysis/report/wrap.hpp"

#include <algorithm>

namespace thumblight::report {

std::string wrap(const std::string& text) {
  std::string wrapped;
  std::size_t column = 0;
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = std::min(text.find(' ', begin), text.size());
    const std::size_t length = end - begin;
    if (column > 0 && column + 1 + length > kTerminalColumns) {
      wrapped += '\n';
      column = 0;
    } else if (column > 0) {
      wrapped += ' ';
      ++column;
    }
    wrapped.append(text, begin, length);
    column += length;
    begin = end + 1;
  }
  return wrapped + '\n';
}

}  // namespace thumblight::report
