#include "analysis/report/wrap.hpp"

#include <algorithm>
#include <string_view>

#include "analysis/report/text_columns.hpp"

namespace thumblight::report {
namespace {

/// Where the word that begins here ends: a plus-minus stays with its number.
std::size_t end_of_word(const std::string& text, std::size_t begin) {
  constexpr std::string_view kPlusMinus = "±";
  std::size_t end = std::min(text.find(' ', begin), text.size());
  if (end < text.size() &&
      std::string_view(text).substr(begin, end - begin).ends_with(kPlusMinus)) {
    end = std::min(text.find(' ', end + 1), text.size());
  }
  return end;
}

}  // namespace

std::string wrap(const std::string& text, std::size_t columns, std::size_t indent) {
  std::string wrapped;
  std::size_t column = 0;
  bool begun = false;  // a word stands in this line already
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = end_of_word(text, begin);
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
