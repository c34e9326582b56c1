#include "analysis/review/canvas.hpp"

#include <imgui.h>

#include <algorithm>
#include <cmath>

namespace thumblight::review {
namespace {

ImVec2 vec(double x, double y) {
  return {static_cast<float>(x), static_cast<float>(y)};
}

ImVec2 vec(Point point) {
  return vec(point.x, point.y);
}

ImU32 colour(Shade shade) {
  return IM_COL32(shade.r, shade.g, shade.b, shade.a);
}

}  // namespace

void Canvas::fill(const Box& box, Shade shade, double rounding) {
  list_.AddRectFilled(vec(box.x, box.y), vec(box.right(), box.bottom()), colour(shade),
                      static_cast<float>(rounding));
}

void Canvas::outline(const Box& box, Shade shade, double thickness, double rounding) {
  list_.AddRect(vec(box.x, box.y), vec(box.right(), box.bottom()), colour(shade),
                static_cast<float>(rounding), 0, static_cast<float>(thickness));
}

void Canvas::line(Point from, Point to, Shade shade, double thickness) {
  list_.AddLine(vec(from), vec(to), colour(shade), static_cast<float>(thickness));
}

void Canvas::dashes(Point from, Point to, Shade shade, double dash, double thickness) {
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  for (double at = 0; at < length; at += 2 * dash) {
    const double end = std::min(at + dash, length);
    const auto place = [&](double way) {
      return Point{from.x + (to.x - from.x) * way / length,
                   from.y + (to.y - from.y) * way / length};
    };
    line(place(at), place(end), shade, thickness);
  }
}

void Canvas::path(const std::vector<Point>& points, Shade shade, double thickness) {
  std::vector<ImVec2> places;
  places.reserve(points.size());
  for (const Point& point : points) {
    places.push_back(vec(point));
  }
  list_.AddPolyline(places.data(), static_cast<int>(places.size()), colour(shade), 0,
                    static_cast<float>(thickness));
}

void Canvas::hatch(const Box& box, Shade shade, double step) {
  clip(box);
  for (double x = box.x - box.h; x < box.right(); x += step) {
    line({x, box.bottom()}, {x + box.h, box.y}, shade);
  }
  unclip();
}

void Canvas::sign(PressState state, Point centre, double radius) {
  const Shade shade = shade_of(state);
  const double thick = std::max(1.5, radius / 3);
  const double r = radius * 0.9;
  switch (state) {
    case PressState::kFound:
      list_.AddCircleFilled(vec(centre), static_cast<float>(r), colour(shade), 24);
      return;
    case PressState::kDoubtful:
      list_.AddTriangleFilled(vec(centre.x, centre.y - radius * 1.1),
                              vec(centre.x + radius * 1.1, centre.y + radius * 0.9),
                              vec(centre.x - radius * 1.1, centre.y + radius * 0.9), colour(shade));
      return;
    case PressState::kByHand:
      fill({centre.x - r, centre.y - r, 2 * r, 2 * r}, shade);
      return;
    case PressState::kLeftOut:
      line({centre.x - r, centre.y - r}, {centre.x + r, centre.y + r}, shade, thick);
      line({centre.x - r, centre.y + r}, {centre.x + r, centre.y - r}, shade, thick);
      return;
    case PressState::kUnseen:
      list_.AddCircle(vec(centre), static_cast<float>(r - thick / 2), colour(shade), 24,
                      static_cast<float>(thick));
  }
}

void Canvas::picture(void* texture, const Box& box, const std::array<Point, 4>& corners) {
  list_.AddImageQuad(texture, vec(box.x, box.y), vec(box.right(), box.y),
                     vec(box.right(), box.bottom()), vec(box.x, box.bottom()), vec(corners[0]),
                     vec(corners[1]), vec(corners[2]), vec(corners[3]));
}

double Canvas::text_width(const std::string& text, bool strong) const {
  constexpr float kNoLimit = 1e9F;
  return font(strong)
      ->CalcTextSizeA(static_cast<float>(typeface_.size), kNoLimit, 0, text.data(),
                      text.data() + text.size())
      .x;
}

std::string Canvas::fitted(const std::string& text, double width, bool strong) const {
  if (text_width(text, strong) <= width) {
    return text;
  }
  std::string cut = text;
  while (!cut.empty() && text_width(cut + "…", strong) > width) {
    do {
      cut.pop_back();
    } while (!cut.empty() && (static_cast<unsigned char>(cut.back()) & 0xC0U) == 0x80U);
    if (!cut.empty() && static_cast<unsigned char>(cut.back()) >= 0xC0U) {
      cut.pop_back();
    }
  }
  return cut + "…";
}

void Canvas::text(const Box& box, const std::string& text, Shade shade, Align align, bool strong) {
  const std::string shown = fitted(text, box.w, strong);
  const double free = box.w - text_width(shown, strong);
  const double x = box.x + (align == Align::kLeft ? 0 : align == Align::kRight ? free : free / 2);
  const double y = box.y + (box.h - typeface_.size) / 2;
  list_.AddText(font(strong), static_cast<float>(typeface_.size), vec(std::round(x), std::round(y)),
                colour(shade), shown.data(), shown.data() + shown.size());
}

void Canvas::paragraph(const Box& box, const std::string& text, Shade shade) {
  const double line_h = typeface_.size * 1.3;
  const int most = std::max(1, static_cast<int>(box.h / line_h));
  std::string rest = text;
  for (int line = 0; line < most && !rest.empty(); ++line) {
    std::size_t end = rest.size();
    while (line + 1 < most && text_width(rest.substr(0, end)) > box.w) {
      const std::size_t space = rest.rfind(' ', end - 1);
      if (space == std::string::npos || space == 0) {
        break;
      }
      end = space;
    }
    this->text({box.x, box.y + line * line_h, box.w, line_h}, rest.substr(0, end), shade);
    rest.erase(0, std::min(end + 1, rest.size()));
  }
}

void Canvas::clip(const Box& box) {
  list_.PushClipRect(vec(box.x, box.y), vec(box.right(), box.bottom()), true);
}

void Canvas::unclip() {
  list_.PopClipRect();
}

}  // namespace thumblight::review
