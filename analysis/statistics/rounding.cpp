#include "analysis/statistics/rounding.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace thumblight::statistics {

namespace {

constexpr int kMostDecimals = 3;
constexpr std::size_t kLongestDouble = 400;  // 309 digits before the point, and the decimals

}  // namespace

int decimals_for(double uncertainty) {
  if (uncertainty <= 0) {
    return kMostDecimals;
  }
  return std::clamp(1 - static_cast<int>(std::floor(std::log10(uncertainty))), 0, kMostDecimals);
}

std::string fixed(double value, int decimals) {
  std::array<char, kLongestDouble> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value,
                                 std::chars_format::fixed, decimals)
                       .ptr;
  std::string result(text.data(), end);
  const bool all_zero = result.find_first_not_of("-0.") == std::string::npos;
  return all_zero && result.front() == '-' ? result.substr(1) : result;
}

}  // namespace thumblight::statistics
