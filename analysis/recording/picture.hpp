#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

/// Small pictures for a person to look at: grey levels with coloured marks, and their files.
namespace thumblight::recording {

struct Colour {
  std::uint8_t r = 0;
  std::uint8_t g = 0;
  std::uint8_t b = 0;
};

class Picture {
 public:
  Picture() = default;
  Picture(int width, int height) : width_(width), height_(height) {
    pixels_.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
  }

  int width() const { return width_; }
  int height() const { return height_; }
  bool holds(int x, int y) const { return x >= 0 && y >= 0 && x < width_ && y < height_; }
  Colour at(int x, int y) const { return pixels_[index(x, y)]; }
  /// Outside the picture it does nothing.
  void set(int x, int y, Colour colour) {
    if (holds(x, y)) {
      pixels_[index(x, y)] = colour;
    }
  }
  void fill(int x, int y, int width, int height, Colour colour);
  /// The frame of a rectangle, `thickness` pixels inwards.
  void outline(int x, int y, int width, int height, int thickness, Colour colour);
  /// Copies `other` with its upper left corner at (x, y).
  void place(const Picture& other, int x, int y);
  /// Turned clockwise by 0, 90, 180 or 270 degrees.
  Picture turned(int clockwise_deg) const;
  /// Every pixel as a square of `factor` pixels.
  Picture enlarged(int factor) const;

 private:
  std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) +
           static_cast<std::size_t>(x);
  }
  int width_ = 0;
  int height_ = 0;
  std::vector<Colour> pixels_;
};

/// Writes digits, sign, point, letters a-z and spaces, 3 x 5 dots each times `size`; returns the
/// width taken. Characters it does not have are left blank.
int write_text(Picture& picture, int x, int y, int size, const std::string& text, Colour colour);
int text_width(const std::string& text, int size);

/// Writes a PNG or, for `.jpg`, a JPEG. The file appears whole or not at all. Throws `Error`.
void write_picture(const Picture& picture, const std::filesystem::path& file);

}  // namespace thumblight::recording
