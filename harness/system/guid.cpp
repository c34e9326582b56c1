#include "harness/system/guid.hpp"

namespace thumblight::harness {
namespace {

constexpr std::size_t kDigits = 32;

/// The bus numbers of linux/input.h, which SDL uses on every system; 0xff is SDL's virtual device.
std::string bus_name(int bus) {
  switch (bus) {
    case 0x01:
      return "pci";
    case 0x03:
      return "usb";
    case 0x05:
      return "bluetooth";
    case 0x06:
    case 0xff:
      return "virtual";
    case 0x11:
      return "i8042";
    case 0x18:
      return "i2c";
    case 0x19:
      return "host";
    case 0x1c:
      return "spi";
    default:
      return "";
  }
}

std::string driver_name(int letter) {
  switch (letter) {
    case 'h':
      return "hidapi";
    case 'x':
      return "xinput";
    case 'r':
      return "rawinput";
    case 'w':
      return "windows-gaming-input";
    case 'v':
      return "virtual";
    default:
      return "";
  }
}

int byte_at(const std::string& digits, std::size_t index) {
  return std::stoi(digits.substr(2 * index, 2), nullptr, 16);
}

int word_at(const std::string& digits, std::size_t index) {
  return byte_at(digits, index) | byte_at(digits, index + 1) << 8;
}

}  // namespace

GuidFacts read_guid(const std::string& digits) {
  GuidFacts facts;
  if (digits.size() != kDigits ||
      digits.find_first_not_of("0123456789abcdefABCDEF") != std::string::npos) {
    return facts;
  }
  facts.bus = bus_name(word_at(digits, 0));
  facts.driver = driver_name(byte_at(digits, 14));
  const bool has_ids =
      word_at(digits, 4) != 0 && word_at(digits, 6) == 0 && word_at(digits, 10) == 0;
  if (has_ids) {
    facts.vendor = word_at(digits, 4);
    facts.product = word_at(digits, 8);
  }
  return facts;
}

}  // namespace thumblight::harness
