#include "harness/pages/page.hpp"

#include "harness/pages/font.hpp"

namespace thumblight::harness {

bool overlap(const Rect& a, const Rect& b) {
  return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
}

Rect bounds(const TextLine& line) {
  const int cells = static_cast<int>(line.text.size());
  return {line.x, line.y, cells * kAdvance * line.scale, kGlyphHeight * line.scale};
}

}  // namespace thumblight::harness
