#include "analysis/report/wrap.hpp"

#include <algorithm>

#include "analysis/report/text_columns.hpp"

namespace thumblight::report {

std::string wrap(const std::string& text, std::size_t columns, std::size_t indent) {
  std::string wrapped;
  std::size_t column = 0;
  bool begun = false;  // a word stands in this line already
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = std::min(text.find(' ', begin), text.size());
    const std::string word = text.substr(begin, end - begin);
    if (begun && column + 1 + shown_width(word) > columns) {
      wrapped += '\n' + std::string(indent, ' ');
      column = indent;
    } else if (begun) {
      wrapped += ' ';
      ++column;
    }
    wrapped += word;
    column += shown_width(word);
    begun = column > 0;
    begin = end + 1;
  }
  return wrapped + '\n';
}

}  // namespace thumblight::report
