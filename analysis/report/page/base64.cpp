#include "analysis/report/page/base64.hpp"

#include <cstdint>

namespace thumblight::report {

std::string base64(std::string_view bytes) {
  constexpr std::string_view kDigits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  constexpr std::size_t kGroup = 3;
  std::string text;
  text.reserve((bytes.size() + 2) / kGroup * 4);
  for (std::size_t k = 0; k < bytes.size(); k += kGroup) {
    std::uint32_t group = 0;
    for (std::size_t i = 0; i < kGroup; ++i) {
      const auto byte = k + i < bytes.size() ? static_cast<std::uint8_t>(bytes[k + i]) : 0U;
      group = group << 8 | byte;
    }
    const std::size_t filled = std::min(bytes.size() - k, kGroup);
    for (std::size_t i = 0; i < 4; ++i) {
      text += i <= filled ? kDigits[group >> (18 - 6 * i) & 0x3F] : '=';
    }
  }
  return text;
}

}  // namespace thumblight::report
