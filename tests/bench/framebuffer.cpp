#include "tests/bench/framebuffer.hpp"

#include <X11/X.h>
#include <X11/Xmd.h>
// XWDFile.h names the types of Xmd.h without including it.
#include <X11/XWDFile.h>
#include <arpa/inet.h>
#include <fcntl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <string>

#include "harness/session/error.hpp"

namespace thumblight::bench {
namespace {

/// Larger than any screen here; keeps the sums below far from overflow.
constexpr std::uint32_t kMostPixels = 16384;

bool is_true_colour(const XWDFileHeader& header) {
  return ntohl(header.pixmap_format) == ZPixmap && ntohl(header.bits_per_pixel) == 32 &&
         ntohl(header.byte_order) == LSBFirst && ntohl(header.red_mask) == 0xff0000 &&
         ntohl(header.green_mask) == 0xff00 && ntohl(header.blue_mask) == 0xff;
}

bool is_sane(const XWDFileHeader& header) {
  const std::uint32_t width = ntohl(header.pixmap_width);
  const std::uint32_t height = ntohl(header.pixmap_height);
  return ntohl(header.file_version) == XWD_FILE_VERSION &&
         ntohl(header.header_size) >= sizeof header && ntohl(header.header_size) % 4 == 0 &&
         ntohl(header.header_size) < 1'000'000 && ntohl(header.ncolors) < 1'000'000 && width > 0 &&
         width <= kMostPixels && height > 0 && height <= kMostPixels &&
         ntohl(header.bytes_per_line) >= 4 * width && ntohl(header.bytes_per_line) % 4 == 0 &&
         ntohl(header.bytes_per_line) <= 8 * kMostPixels;
}

}  // namespace

Framebuffer::Framebuffer(const std::filesystem::path& file) {
  const int descriptor = open(file.c_str(), O_RDONLY | O_CLOEXEC);
  struct stat status {};
  if (descriptor < 0 || fstat(descriptor, &status) != 0) {
    throw Error("the screen '" + file.string() + "' cannot be read: " + std::strerror(errno));
  }
  size_ = static_cast<std::size_t>(status.st_size);
  mapping_ = size_ == 0 ? MAP_FAILED : mmap(nullptr, size_, PROT_READ, MAP_SHARED, descriptor, 0);
  close(descriptor);
  if (mapping_ == MAP_FAILED) {
    throw Error("the screen '" + file.string() + "' is empty or cannot be mapped");
  }
  try {
    read_header(file);
  } catch (const Error&) {
    munmap(mapping_, size_);
    throw;
  }
}

Framebuffer::~Framebuffer() {
  munmap(mapping_, size_);
}

void Framebuffer::read_header(const std::filesystem::path& file) {
  XWDFileHeader header{};
  if (size_ < sizeof header) {
    throw Error("the screen '" + file.string() + "' is shorter than the header of a window dump");
  }
  std::memcpy(&header, mapping_, sizeof header);
  if (!is_sane(header) || !is_true_colour(header)) {
    throw Error("the screen '" + file.string() +
                "' is no window dump of 32-bit true colour; start the X server with depth 24");
  }
  width_ = static_cast<int>(ntohl(header.pixmap_width));
  height_ = static_cast<int>(ntohl(header.pixmap_height));
  row_bytes_ = ntohl(header.bytes_per_line);
  first_pixel_ = ntohl(header.header_size) + std::size_t{ntohl(header.ncolors)} * sizeof(XWDColor);
  if (first_pixel_ + row_bytes_ * static_cast<std::size_t>(height_) > size_) {
    throw Error("the screen '" + file.string() + "' ends before its last row");
  }
}

PixelAddress Framebuffer::at(int x, int y) const {
  if (x < 0 || y < 0 || x >= width_ || y >= height_) {
    throw Error("the point " + std::to_string(x) + "," + std::to_string(y) +
                " is outside the screen of " + std::to_string(width_) + "x" +
                std::to_string(height_));
  }
  const std::size_t offset =
      first_pixel_ + row_bytes_ * static_cast<std::size_t>(y) + 4 * static_cast<std::size_t>(x);
  return reinterpret_cast<PixelAddress>(static_cast<const char*>(mapping_) + offset);
}

}  // namespace thumblight::bench
