#pragma once

#include <string>
#include <vector>

namespace thumblight::harness {

struct Size {
  int w = 0;
  int h = 0;
};

/// Pixels of the window; (x, y) is the upper left corner.
struct Rect {
  int x = 0;
  int y = 0;
  int w = 0;
  int h = 0;

  bool operator==(const Rect&) const = default;
};

bool overlap(const Rect& a, const Rect& b);

/// One line of text; `scale` is the size of a dot of the font in pixels, `level` its grey, 0-255.
struct TextLine {
  std::string text;
  int x = 0;
  int y = 0;
  int scale = 1;
  int level = 255;

  bool operator==(const TextLine&) const = default;
};

/// A grey rectangle that stands still beside the patch.
struct Box {
  Rect place;
  int level = 0;
};

/// What the screen shows around the patch: grey on black, nothing that moves.
struct Page {
  std::vector<Box> boxes;
  std::vector<TextLine> lines;
};

/// The place that a line takes on the screen.
Rect bounds(const TextLine& line);

}  // namespace thumblight::harness
