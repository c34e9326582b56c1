#pragma once

#include <string>
#include <vector>

#include "analysis/review/frame_view.hpp"
#include "analysis/review/palette.hpp"

struct ImDrawList;
struct ImFont;

namespace thumblight::review {

enum class Align { kLeft, kMiddle, kRight };

/// Letters at the sizes in use.
struct Typeface {
  ImFont* plain = nullptr;
  ImFont* strong = nullptr;
  double size = 18;  ///< pixels
};

/// Draws one picture of the window.
class Canvas {
 public:
  Canvas(ImDrawList& list, const Typeface& typeface) : list_(list), typeface_(typeface) {}

  void fill(const Box& box, Shade shade, double rounding = 0);
  void outline(const Box& box, Shade shade, double thickness, double rounding = 0);
  void line(Point from, Point to, Shade shade, double thickness = 1);
  void dashes(Point from, Point to, Shade shade, double dash, double thickness = 1);
  void path(const std::vector<Point>& points, Shade shade, double thickness = 1);
  /// Slanting lines over a box: what is not known.
  void hatch(const Box& box, Shade shade, double step);
  /// A sign that differs from state to state.
  void sign(PressState state, Point centre, double radius);
  /// A texture whose corners (as shares of it) go to the box's corners.
  void picture(void* texture, const Box& box, const std::array<Point, 4>& corners);

  /// One line of text, in the middle of the box's height; cut with an ellipsis where it is wider.
  void text(const Box& box, const std::string& text, Shade shade, Align align = Align::kLeft,
            bool strong = false);
  /// Text in as many lines as the box holds, broken at spaces.
  void paragraph(const Box& box, const std::string& text, Shade shade);
  double text_width(const std::string& text, bool strong = false) const;
  double text_size() const { return typeface_.size; }

  /// Until `unclip` nothing is drawn outside the box.
  void clip(const Box& box);
  void unclip();

 private:
  ImFont* font(bool strong) const { return strong ? typeface_.strong : typeface_.plain; }
  std::string fitted(const std::string& text, double width, bool strong) const;

  ImDrawList& list_;
  Typeface typeface_;
};

}  // namespace thumblight::review
