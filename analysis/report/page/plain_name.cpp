#include "analysis/report/page/plain_name.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace thumblight::report {
namespace {

constexpr std::array<std::string_view, 12> kDirections = {"\u061C", "\u200E", "\u200F", "\u202A",
                                                          "\u202B", "\u202C", "\u202D", "\u202E",
                                                          "\u2066", "\u2067", "\u2068", "\u2069"};

bool is_ascii(const std::string& text) {
  return std::all_of(text.begin(), text.end(),
                     [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

}  // namespace

std::string plain_name(const std::string& name) {
  std::string text = name;
  for (const std::string_view direction : kDirections) {
    for (std::size_t at = text.find(direction); at != std::string::npos;
         at = text.find(direction, at)) {
      text.erase(at, direction.size());
    }
  }
  return text;
}

std::string quoted(const std::string& name) {
  const std::string plain = plain_name(name);
  return is_ascii(plain) ? "“" + plain + "”" : "“\u2068" + plain + "\u2069”";
}

}  // namespace thumblight::report
