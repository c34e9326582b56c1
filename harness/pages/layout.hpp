#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "harness/pages/page.hpp"

namespace thumblight::harness {

/// A paragraph of a page; `size` 1 is the ordinary size, 2 twice that.
struct Paragraph {
  std::string text;
  int size = 1;
  int level = 200;
};

/// The text broken at spaces into lines of at most `cells` characters; a longer word is cut.
std::vector<std::string> wrap(std::string_view text, int cells);

/// The size of a dot, in pixels, at which ordinary text is readable on a screen so large.
int ordinary_scale(const Size& screen);

/// The paragraphs one below the other, left-aligned and centred in height within `area`. Made
/// smaller, dot by dot, until all of it fits; at the smallest size what is below the area is cut.
std::vector<TextLine> lay_out(const std::vector<Paragraph>& paragraphs, const Rect& area,
                              int scale);

/// The largest band of the screen above, below, left or right of `taken`, less a margin.
Rect widest_free_band(const Size& screen, const Rect& taken, int margin);

}  // namespace thumblight::harness
