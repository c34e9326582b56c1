#pragma once

#include <array>
#include <optional>

#include "analysis/onset/timings.hpp"

/// Which part of the upright picture is seen where in the window.
namespace thumblight::review {

struct Point {
  double x = 0;
  double y = 0;
};

struct Box {
  double x = 0;
  double y = 0;
  double w = 0;
  double h = 0;

  double right() const { return x + w; }
  double bottom() const { return y + h; }
  bool holds(Point point) const {
    return point.x >= x && point.y >= y && point.x < right() && point.y < bottom();
  }
};

/// How close the picture is looked at, and where.
class FrameView {
 public:
  /// `picture`: size of the upright picture, in pixels of its own.
  void set_picture(double width, double height);
  /// The part of the window that shows it.
  void set_window(const Box& window);

  const Box& window() const { return window_; }
  /// Pixels of the window for one of the picture.
  double scale() const { return scale_; }
  bool is_whole() const { return zoom_ == 1; }

  Point to_window(Point picture) const;
  Point to_picture(Point window) const;
  Box to_window(const onset::Region& region) const;

  /// Times `factor` closer; `window` stays where it is, by default the middle.
  void zoom(double factor, std::optional<Point> window = std::nullopt);
  /// By pixels of the window.
  void pan(double dx, double dy);
  /// Shares of the window, for keys.
  void pan_share(double share_x, double share_y);
  void fit();
  /// Looks at a part of the picture.
  void look_at(Point picture);

 private:
  void settle();

  double width_ = 1;
  double height_ = 1;
  Box window_{0, 0, 1, 1};
  double zoom_ = 1;
  Point centre_;  ///< of the picture, in the window's middle
  double scale_ = 1;
};

/// The corners of the stored picture (upper left, upper right, lower right, lower left) as shares
/// of its width and height, in the order in which they are the upright picture's.
std::array<Point, 4> stored_corners(int clockwise_deg);

}  // namespace thumblight::review
