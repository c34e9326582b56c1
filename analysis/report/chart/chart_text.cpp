#include "analysis/report/chart/chart_text.hpp"

#include <algorithm>
#include <cstdint>
#include <string_view>

namespace thumblight::report::chart {
namespace {

constexpr char32_t kReplacement = 0xFFFD;

/// One code point and what comes after it; U+FFFD for a byte that begins none.
struct Decoded {
  char32_t code = kReplacement;
  std::size_t length = 1;
};

std::size_t expected_length(unsigned char first) {
  if (first < 0x80) {
    return 1;
  }
  if (first >= 0xC2 && first <= 0xDF) {
    return 2;
  }
  if (first >= 0xE0 && first <= 0xEF) {
    return 3;
  }
  return first >= 0xF0 && first <= 0xF4 ? 4 : 0;
}

/// Shorter forms of a code point, surrogates and what lies beyond Unicode are no UTF-8 (RFC 3629).
bool is_allowed(char32_t code, std::size_t length) {
  constexpr char32_t kLeast[] = {0, 0, 0x80, 0x800, 0x10000};
  return code >= kLeast[length] && code <= 0x10FFFF && (code < 0xD800 || code > 0xDFFF);
}

Decoded decode(std::string_view text) {
  const auto first = static_cast<unsigned char>(text.front());
  const std::size_t length = expected_length(first);
  if (length == 0 || length > text.size()) {
    return {};
  }
  char32_t code = length == 1 ? first : first & (0x7FU >> length);
  for (std::size_t k = 1; k < length; ++k) {
    const auto next = static_cast<unsigned char>(text[k]);
    if ((next & 0xC0U) != 0x80U) {
      return {};
    }
    code = (code << 6U) | (next & 0x3FU);
  }
  return is_allowed(code, length) ? Decoded{code, length} : Decoded{};
}

std::u32string decoded(std::string_view text) {
  std::u32string codes;
  while (!text.empty()) {
    const Decoded next = decode(text);
    codes += next.code;
    text.remove_prefix(next.length);
  }
  return codes;
}

void append(std::string& text, char32_t code) {
  const auto byte = [&text](std::uint32_t value) { text += static_cast<char>(value); };
  if (code < 0x80) {
    byte(code);
  } else if (code < 0x800) {
    byte(0xC0U | (code >> 6U));
    byte(0x80U | (code & 0x3FU));
  } else if (code < 0x10000) {
    byte(0xE0U | (code >> 12U));
    byte(0x80U | ((code >> 6U) & 0x3FU));
    byte(0x80U | (code & 0x3FU));
  } else {
    byte(0xF0U | (code >> 18U));
    byte(0x80U | ((code >> 12U) & 0x3FU));
    byte(0x80U | ((code >> 6U) & 0x3FU));
    byte(0x80U | (code & 0x3FU));
  }
}

std::string encoded(const std::u32string& codes) {
  std::string text;
  for (const char32_t code : codes) {
    append(text, code);
  }
  return text;
}

bool within(char32_t code, char32_t first, char32_t last) {
  return code >= first && code <= last;
}

bool is_break_or_control(char32_t code) {
  return code < 0x20 || within(code, 0x7F, 0x9F) || code == 0x2028 || code == 0x2029;
}

/// Marks of direction, tags, and the codes that are no characters.
bool is_invisible(char32_t code) {
  return within(code, 0x202A, 0x202E) || within(code, 0x2066, 0x2069) ||
         within(code, 0x200B, 0x200F) || code == 0x061C || code == 0xFEFF ||
         within(code, 0xE0000, 0xE007F) || within(code, 0xFDD0, 0xFDEF) ||
         (code & 0xFFFEU) == 0xFFFE;
}

bool is_combining(char32_t code) {
  return within(code, 0x0300, 0x036F) || within(code, 0x1AB0, 0x1AFF) ||
         within(code, 0x1DC0, 0x1DFF) || within(code, 0x20D0, 0x20FF) ||
         within(code, 0xFE20, 0xFE2F);
}

/// Width of a character in shares of the font's size, of a wide sans-serif font.
double advance(char32_t code) {
  constexpr std::u32string_view kNarrow = U"ijl.,:;'|!I";
  constexpr std::u32string_view kSlim = U" frt()[]-/\"";
  constexpr std::u32string_view kWide = U"mwMW%@";
  if (is_combining(code) || is_invisible(code)) {
    return 0;
  }
  if (kNarrow.find(code) != std::u32string_view::npos) {
    return 0.33;
  }
  if (kSlim.find(code) != std::u32string_view::npos) {
    return 0.41;
  }
  if (kWide.find(code) != std::u32string_view::npos || code >= 0x1100) {
    return 1.0;
  }
  return within(code, 'A', 'Z') ? 0.70 : 0.63;
}

double width_of(const std::u32string& codes, double font_size, bool bold) {
  double width = 0;
  for (const char32_t code : codes) {
    width += advance(code);
  }
  return width * font_size * (bold ? 1.12 : 1.0);
}

std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> words;
  std::size_t from = 0;
  while (from < text.size()) {
    const std::size_t to = std::min(text.find(' ', from), text.size());
    if (to > from) {
      words.push_back(text.substr(from, to - from));
    }
    from = to + 1;
  }
  return words;
}

std::vector<std::string> filled(const std::vector<std::string>& words, double width,
                                double font_size, bool bold) {
  std::vector<std::string> lines;
  for (const std::string& word : words) {
    if (!lines.empty() && text_width(lines.back() + ' ' + word, font_size, bold) <= width) {
      lines.back() += ' ' + word;
    } else {
      lines.push_back(word);
    }
  }
  return lines;
}

}  // namespace

std::string clean(const std::string& text) {
  std::u32string kept;
  std::size_t combining = 0;
  for (const char32_t code : decoded(text)) {
    const char32_t shown = is_break_or_control(code) ? U' ' : code;
    combining = is_combining(shown) ? combining + 1 : 0;
    const bool is_space_again = shown == U' ' && (kept.empty() || kept.back() == U' ');
    if (!is_invisible(shown) && !is_space_again && combining <= 2) {
      kept += shown;
    }
  }
  while (!kept.empty() && kept.back() == U' ') {
    kept.pop_back();
  }
  return encoded(kept);
}

std::string isolated(const std::string& name) {
  const std::u32string codes = decoded(name);
  // Beyond these blocks a script may run from right to left; within them none does.
  const bool may_turn = std::any_of(codes.begin(), codes.end(), [](char32_t code) {
    return within(code, 0x0590, 0x08FF) || within(code, 0xFB1D, 0xFEFC) ||
           within(code, 0x10800, 0x1EFFF);
  });
  return may_turn ? "\u2068" + name + "\u2069" : name;
}

double text_width(const std::string& text, double font_size, bool bold) {
  return width_of(decoded(text), font_size, bold);
}

std::string shortened(const std::string& text, double width, double font_size, bool bold) {
  std::u32string front = decoded(text);
  if (width_of(front, font_size, bold) <= width) {
    return text;
  }
  const std::size_t middle = front.size() / 2;
  std::u32string back = front.substr(middle);
  front.resize(middle);
  while ((!front.empty() || !back.empty()) &&
         width_of(front + U'\u2026' + back, font_size, bold) > width) {
    if (front.size() > back.size()) {
      front.pop_back();
    } else {
      back.erase(0, 1);
    }
  }
  while (!back.empty() && is_combining(back.front())) {
    back.erase(0, 1);
  }
  return encoded(front + U'\u2026' + back);
}

std::vector<std::string> broken(const std::string& text, double width, double font_size,
                                std::size_t most, bool bold) {
  const std::vector<std::string> words = words_of(text);
  std::vector<std::string> lines = filled(words, width, font_size, bold);
  if (lines.size() > most) {
    for (std::size_t k = most; k < lines.size(); ++k) {
      lines[most - 1] += ' ' + lines[k];
    }
    lines.resize(most);
  } else if (lines.size() > 1) {
    // No wider than it takes, so that the lines are of about one width.
    const std::size_t count = lines.size();
    for (double narrow = width; narrow > width / 2; narrow -= font_size / 2) {
      std::vector<std::string> next = filled(words, narrow, font_size, bold);
      if (next.size() > count) {
        break;
      }
      lines = std::move(next);
    }
  }
  for (std::string& line : lines) {
    line = shortened(line, width, font_size, bold);
  }
  return lines;
}

}  // namespace thumblight::report::chart
