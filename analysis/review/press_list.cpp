#include "analysis/review/press_list.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::review {

void PressList::set(const Layout& layout, std::size_t rows) {
  place_ = layout.presses;
  text_ = layout.text;
  line_ = std::round(layout.text * 1.6);
  rows_ = rows;
  seen_ = static_cast<std::size_t>(std::max(1.0, std::floor((place_.h - head().h) / line_)));
  settle();
}

void PressList::settle() {
  first_ = std::min(first_, rows_ > seen_ ? rows_ - seen_ : 0);
}

void PressList::follow(std::size_t row) {
  const std::size_t margin = seen_ > 2 ? 1 : 0;
  if (row < first_ + margin) {
    first_ = row > margin ? row - margin : 0;
  } else if (row + margin >= first_ + seen_) {
    first_ = row + margin + 1 - seen_;
  }
  settle();
}

void PressList::scroll(int rows) {
  const auto moved = static_cast<std::ptrdiff_t>(first_) + rows;
  first_ = static_cast<std::size_t>(std::max<std::ptrdiff_t>(moved, 0));
  settle();
}

std::size_t PressList::end() const {
  return std::min(rows_, first_ + seen_);
}

Box PressList::head() const {
  return {place_.x, place_.y, place_.w, std::round(text_ * 1.9)};
}

Box PressList::box_of(std::size_t row) const {
  return {place_.x, head().bottom() + static_cast<double>(row - first_) * line_,
          place_.w - text_ * 0.6, line_};
}

std::optional<std::size_t> PressList::row_at(Point point) const {
  for (std::size_t row = first_; row < end(); ++row) {
    if (box_of(row).holds(point)) {
      return row;
    }
  }
  return std::nullopt;
}

std::optional<Box> PressList::bar() const {
  if (rows_ <= seen_) {
    return std::nullopt;
  }
  const double top = head().bottom();
  const double height = line_ * static_cast<double>(seen_);
  const auto all = static_cast<double>(rows_);
  return Box{place_.right() - text_ * 0.35, top + height * static_cast<double>(first_) / all,
             text_ * 0.3, height * static_cast<double>(seen_) / all};
}

}  // namespace thumblight::review
