#include "analysis/report/numbers.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string_view>

namespace thumblight::report {
namespace {

constexpr int kMostDecimals = 3;
constexpr int kFewestDecimals = -9;

double rounded(double scaled, Rounding rounding) {
  // What binary arithmetic leaves beside a whole number must not move a bound by one digit.
  const double nearest = std::round(scaled);
  if (rounding == Rounding::kNearest || std::abs(scaled - nearest) < 1e-6) {
    return nearest;
  }
  return rounding == Rounding::kDown ? std::floor(scaled) : std::ceil(scaled);
}

/// One character of UTF-8; without a code where the first byte begins none.
struct Character {
  std::optional<std::uint32_t> code;
  std::size_t bytes = 1;
};

std::size_t length_of(unsigned char first) {
  if (first < 0x80) {
    return 1;
  }
  if (first >= 0xC2 && first < 0xE0) {
    return 2;
  }
  if (first >= 0xE0 && first < 0xF0) {
    return 3;
  }
  return first >= 0xF0 && first < 0xF5 ? 4 : 0;
}

/// Longer forms than need be, surrogates and codes beyond the last are none.
bool well_formed(std::uint32_t code, std::size_t bytes) {
  constexpr std::array<std::uint32_t, 5> kLeast = {0, 0, 0x80, 0x800, 0x10000};
  return code >= kLeast[bytes] && code <= 0x10FFFF && (code < 0xD800 || code > 0xDFFF);
}

Character character_at(std::string_view text) {
  const auto first = static_cast<unsigned char>(text.front());
  const std::size_t bytes = length_of(first);
  if (bytes == 0 || bytes > text.size()) {
    return {};
  }
  std::uint32_t code = bytes == 1 ? first : first & (0x7FU >> bytes);
  for (std::size_t k = 1; k < bytes; ++k) {
    const auto next = static_cast<unsigned char>(text[k]);
    if ((next & 0xC0) != 0x80) {
      return {};
    }
    code = code << 6 | (next & 0x3FU);
  }
  return well_formed(code, bytes) ? Character{code, bytes} : Character{};
}

bool steers(std::uint32_t code) {
  const auto within = [code](std::uint32_t first, std::uint32_t last) {
    return code >= first && code <= last;
  };
  return code < 0x20 || within(0x7F, 0x9F) || code == 0x61C || within(0x200E, 0x200F) ||
         within(0x2028, 0x202E) || within(0x2066, 0x2069) || code == 0xFEFF;
}

}  // namespace

int decimals_for(double uncertainty) {
  if (!(uncertainty > 0)) {
    return kMostDecimals;
  }
  const double decimals = 1 - std::floor(std::log10(uncertainty));
  return static_cast<int>(std::clamp<double>(decimals, kFewestDecimals, kMostDecimals));
}

std::string fixed(double value, int decimals, Rounding rounding) {
  const double scale = std::pow(10.0, decimals);
  const double shown = rounded(value * scale, rounding) / scale + 0.0;  // -0.0 + 0.0 is 0.0
  std::array<char, 512> buffer{};
  const auto result = std::to_chars(buffer.data(), buffer.data() + buffer.size(), shown,
                                    std::chars_format::fixed, std::max(decimals, 0));
  return {buffer.data(), result.ptr};
}

std::string shortest(double value) {
  constexpr int kDigits = 6;
  const double leading = value == 0 ? 0 : std::floor(std::log10(std::abs(value)));
  std::string text = fixed(value, std::max(0, kDigits - 1 - static_cast<int>(leading)));
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    text.erase(text.find_last_not_of('.') + 1);
  }
  return text;
}

std::string outward(double low, double high) {
  const int decimals = decimals_for(high - low);
  return fixed(low, decimals, Rounding::kDown) + " to " + fixed(high, decimals, Rounding::kUp);
}

std::string counted(std::size_t presses) {
  return std::to_string(presses) + (presses == 1 ? " press" : " presses");
}

std::string printable(const std::string& text) {
  std::string shown;
  shown.reserve(text.size());
  for (std::size_t at = 0; at < text.size();) {
    const Character found = character_at(std::string_view(text).substr(at));
    const bool harmless = found.code && !steers(*found.code);
    shown += harmless ? text.substr(at, found.bytes) : "?";
    at += found.bytes;
  }
  return shown;
}

}  // namespace thumblight::report
