#include "analysis/report/numbers.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

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

std::string printable(const std::string& text) {
  std::string shown = text;
  std::replace_if(
      shown.begin(), shown.end(),
      [](char c) { return static_cast<unsigned char>(c) < ' ' || c == '\x7f'; }, '?');
  return shown;
}

}  // namespace thumblight::report
