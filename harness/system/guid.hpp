#pragma once

#include <optional>
#include <string>

namespace thumblight::harness {

/// What SDL 2's 16-byte device GUID tells, given as its 32 hexadecimal digits. Layout: bus, CRC of
/// the name, vendor, 0, product, 0, version, each 16 bits little-endian; then the driver's letter.
struct GuidFacts {
  std::string bus;     ///< usb, bluetooth, …; empty where it is none that we know
  std::string driver;  ///< SDL's driver; empty for the system's own
  std::optional<int> vendor;
  std::optional<int> product;
};

GuidFacts read_guid(const std::string& digits);

}  // namespace thumblight::harness
