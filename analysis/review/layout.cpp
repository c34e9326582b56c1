#include "analysis/review/layout.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::review {

Layout layout_for(double width, double height) {
  Layout layout;
  layout.text = std::round(std::clamp(std::min(height / 40, width / 68), 12.0, 48.0));
  const double text = layout.text;
  const double gap = std::round(text * 0.5);
  layout.gap = gap;
  const double bar = std::round(text * 1.9);
  const double list = std::round(std::max(width * 0.25, text * 15));
  const double left = width - list - 2 * gap;
  layout.title = {0, 0, width, bar};
  layout.hints = {0, height - bar, width, bar};
  const double overview_h = std::round(text * 0.9);
  const double times_h = std::round(text * 1.25);
  const double trace_h = std::round(std::max(text * 3, height * 0.105));
  double bottom = height - bar - gap - overview_h;
  layout.overview = {gap, bottom, left, overview_h};
  bottom -= times_h;
  layout.times = {gap, bottom, left, times_h};
  bottom -= trace_h;
  layout.light_trace = {gap, bottom, left, trace_h};
  bottom -= trace_h + std::round(gap * 0.5);
  layout.press_trace = {gap, bottom, left, trace_h};
  layout.frame = {gap, bar, left, bottom - gap - bar};
  const double details_h = std::round(text * 8.2);
  const double column_h = height - 2 * bar - gap;
  layout.presses = {width - list, bar, list - gap, column_h - details_h - gap};
  layout.details = {width - list, layout.presses.bottom() + gap, list - gap, details_h};
  return layout;
}

PageLayout page_layout(const Layout& layout, double width, double height, double lines) {
  PageLayout page;
  const double text = layout.text;
  page.line =
      std::min(std::round(text * 1.5), std::floor((height - 4.5 * text) / std::max(1.0, lines)));
  const double title_h = std::round(text * 2.4);
  const double page_w = std::min(width - 2 * text, text * 52);
  const double page_h = std::min(height - text, title_h + page.line * lines + text);
  page.page = {std::round((width - page_w) / 2), std::round((height - page_h) / 2), page_w, page_h};
  page.title = {page.page.x + text, page.page.y, page_w - 2 * text, title_h};
  page.lines = {page.title.x, page.title.bottom(), page.title.w, page.line * lines};
  return page;
}

}  // namespace thumblight::review
