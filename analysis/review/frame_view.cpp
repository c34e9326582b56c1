#include "analysis/review/frame_view.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::review {
namespace {

constexpr double kClosest = 64;  ///< pixels of the window for one of the picture

/// Keeps `centre` so that the picture of this length fills the window, or lies in its middle.
double kept_centre(double centre, double length, double seen) {
  return seen >= length ? length / 2 : std::clamp(centre, seen / 2, length - seen / 2);
}

}  // namespace

void FrameView::set_picture(double width, double height) {
  if (width != width_ || height != height_) {
    width_ = width;
    height_ = height;
    fit();
  }
}

void FrameView::set_window(const Box& window) {
  window_ = window;
  settle();
}

void FrameView::settle() {
  const double whole = std::min(window_.w / width_, window_.h / height_);
  zoom_ = std::clamp(zoom_, 1.0, std::max(1.0, kClosest / whole));
  scale_ = whole * zoom_;
  if (zoom_ > 1 && scale_ > 2) {
    scale_ = std::round(scale_);  // every pixel as large as the next
  }
  centre_.x = kept_centre(centre_.x, width_, window_.w / scale_);
  centre_.y = kept_centre(centre_.y, height_, window_.h / scale_);
}

Point FrameView::to_window(Point picture) const {
  return {window_.x + window_.w / 2 + (picture.x - centre_.x) * scale_,
          window_.y + window_.h / 2 + (picture.y - centre_.y) * scale_};
}

Point FrameView::to_picture(Point window) const {
  return {centre_.x + (window.x - window_.x - window_.w / 2) / scale_,
          centre_.y + (window.y - window_.y - window_.h / 2) / scale_};
}

Box FrameView::to_window(const onset::Region& region) const {
  const Point corner = to_window(Point{region.x, region.y});
  return {corner.x, corner.y, region.w * scale_, region.h * scale_};
}

void FrameView::zoom(double factor, std::optional<Point> window) {
  const Point held = window.value_or(Point{window_.x + window_.w / 2, window_.y + window_.h / 2});
  const Point before = to_picture(held);
  zoom_ *= factor;
  settle();
  const Point after = to_picture(held);
  centre_.x += before.x - after.x;
  centre_.y += before.y - after.y;
  settle();
}

void FrameView::pan(double dx, double dy) {
  centre_.x -= dx / scale_;
  centre_.y -= dy / scale_;
  settle();
}

void FrameView::pan_share(double share_x, double share_y) {
  pan(-share_x * window_.w, -share_y * window_.h);
}

void FrameView::fit() {
  zoom_ = 1;
  settle();
}

void FrameView::look_at(Point picture) {
  centre_ = picture;
  settle();
}

std::array<Point, 4> stored_corners(int clockwise_deg) {
  constexpr std::array<Point, 4> kCorners = {Point{0, 0}, Point{1, 0}, Point{1, 1}, Point{0, 1}};
  const std::size_t turns = static_cast<std::size_t>(((clockwise_deg / 90) % 4 + 4) % 4);
  std::array<Point, 4> corners;
  for (std::size_t k = 0; k < corners.size(); ++k) {
    corners[k] = kCorners[(k + 4 - turns) % 4];
  }
  return corners;
}

}  // namespace thumblight::review
