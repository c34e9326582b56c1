#pragma once

#include <string>

namespace thumblight::report {

/// The coarsest that the encoder knows.
inline constexpr int kCoarsestJpeg = 31;

/// The JPEG anew with another quantiser, 2 (fine) to `kCoarsestJpeg`: as it is where that would not
/// be smaller, or where it cannot be decoded.
std::string coarser_jpeg(const std::string& jpeg, int quantiser);

}  // namespace thumblight::report
