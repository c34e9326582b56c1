#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>

namespace thumblight::bench {

/// Where a pixel lives: 0x00RRGGBB, changed by another process at any moment.
using PixelAddress = const volatile std::uint32_t*;

/// The mean of the three channels, 0-255.
constexpr int level_of(std::uint32_t pixel) {
  return static_cast<int>(((pixel >> 16 & 0xff) + (pixel >> 8 & 0xff) + (pixel & 0xff)) / 3);
}

/// A screen that an X server keeps in a file in the X window dump format: a header of big-endian
/// words, a colour map, then the rows (X11/XWDFile.h). Mapped for reading.
class Framebuffer {
 public:
  /// Throws `Error` for a file that is no such screen of 32-bit true-colour pixels.
  explicit Framebuffer(const std::filesystem::path& file);
  ~Framebuffer();
  Framebuffer(const Framebuffer&) = delete;
  Framebuffer& operator=(const Framebuffer&) = delete;

  int width() const { return width_; }
  int height() const { return height_; }

  /// Throws `Error` outside the screen.
  PixelAddress at(int x, int y) const;

 private:
  void read_header(const std::filesystem::path& file);

  void* mapping_ = nullptr;
  std::size_t size_ = 0;
  int width_ = 0;
  int height_ = 0;
  std::size_t first_pixel_ = 0;
  std::size_t row_bytes_ = 0;
};

}  // namespace thumblight::bench
