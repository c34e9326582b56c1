#include "harness/pages/layout.hpp"

#include <algorithm>
#include <array>

#include "harness/pages/font.hpp"

namespace thumblight::harness {
namespace {

constexpr int kParagraphGap = 6;  // dots of the ordinary size

std::vector<TextLine> stack(const std::vector<Paragraph>& paragraphs, const Rect& area, int scale) {
  std::vector<TextLine> lines;
  int y = area.y;
  for (const Paragraph& paragraph : paragraphs) {
    const int dot = paragraph.size * scale;
    for (const std::string& text : wrap(paragraph.text, area.w / (kAdvance * dot))) {
      lines.push_back({text, area.x, y, dot, paragraph.level});
      y += kLineAdvance * dot;
    }
    y += kParagraphGap * scale;
  }
  return lines;
}

int bottom(const std::vector<TextLine>& lines) {
  int lowest = 0;
  for (const TextLine& line : lines) {
    lowest = std::max(lowest, bounds(line).y + bounds(line).h);
  }
  return lowest;
}

}  // namespace

std::vector<std::string> wrap(std::string_view text, int cells) {
  const std::string drawn = drawable(text);
  const auto width = static_cast<std::size_t>(std::max(cells, 1));
  std::vector<std::string> lines;
  std::size_t start = 0;
  while (drawn.size() - start > width) {
    const std::size_t space = drawn.rfind(' ', start + width);
    const bool breaks = space != std::string::npos && space > start;
    const std::size_t end = breaks ? space : start + width;
    lines.push_back(drawn.substr(start, end - start));
    start = breaks ? end + 1 : end;
  }
  lines.push_back(drawn.substr(start));
  return lines;
}

int ordinary_scale(const Size& screen) {
  return std::clamp(std::min(screen.h / 220, screen.w / 300), 1, 12);
}

std::vector<TextLine> lay_out(const std::vector<Paragraph>& paragraphs, const Rect& area,
                              int scale) {
  std::vector<TextLine> lines = stack(paragraphs, area, scale);
  while (scale > 1 && bottom(lines) > area.y + area.h) {
    lines = stack(paragraphs, area, --scale);
  }
  std::erase_if(lines, [&](const TextLine& line) {
    return bounds(line).y + bounds(line).h > area.y + area.h;
  });
  const int spare = lines.empty() ? 0 : area.y + area.h - bottom(lines);
  for (TextLine& line : lines) {
    line.y += spare / 2;
  }
  return lines;
}

Rect widest_free_band(const Size& screen, const Rect& taken, int margin) {
  const std::array<Rect, 4> bands = {
      Rect{0, taken.y + taken.h, screen.w, screen.h - taken.y - taken.h},
      Rect{0, 0, screen.w, taken.y},
      Rect{0, 0, taken.x, screen.h},
      Rect{taken.x + taken.w, 0, screen.w - taken.x - taken.w, screen.h},
  };
  const Rect widest =
      *std::max_element(bands.begin(), bands.end(), [](const Rect& a, const Rect& b) {
        return static_cast<long>(a.w) * a.h < static_cast<long>(b.w) * b.h;
      });
  return {widest.x + margin, widest.y + margin, std::max(widest.w - 2 * margin, 1),
          std::max(widest.h - 2 * margin, 1)};
}

}  // namespace thumblight::harness
