#pragma once

#include "analysis/review/canvas.hpp"
#include "analysis/review/layout.hpp"
#include "analysis/review/press_list.hpp"
#include "analysis/review/review.hpp"
#include "analysis/review/trace_feed.hpp"

/// The parts of the window. Each draws what `Review` says and changes nothing.
namespace thumblight::review {

/// The bars at the top and at the bottom.
void draw_bars(Canvas& canvas, const Layout& layout, const Review& review);

/// `texture` is the picture on the screen, null where there is none yet; `is_current` says whether
/// it is that of the frame that is looked at.
void draw_frame(Canvas& canvas, const Layout& layout, const Review& review, void* texture,
                bool is_current);

/// What the traces are drawn from: empty where their region is not known.
struct SeenTraces {
  const Trace* press = nullptr;
  const Trace* light = nullptr;
  std::int64_t read = 0;  ///< frames so far
  std::string fault;
};
void draw_traces(Canvas& canvas, const Layout& layout, const Review& review,
                 const SeenTraces& traces);

void draw_presses(Canvas& canvas, const Review& review, const PressList& list);

/// What is known of the press that is looked at.
void draw_details(Canvas& canvas, const Layout& layout, const Review& review);

/// The page of keys or of reasons.
void draw_page(Canvas& canvas, const PageLayout& page, const Review& review);
/// Its height in lines, the lines that can be chosen, and which of them lies at a point.
double height_of_page(const Review& review);
std::size_t lines_of_page(const Review& review);
std::optional<std::size_t> page_line_at(const PageLayout& page, const Review& review, Point point);

}  // namespace thumblight::review
