#include "analysis/report/chart/row_page.hpp"

#include <algorithm>
#include <array>

#include "analysis/report/chart/chart_text.hpp"
#include "analysis/report/chart/marks.hpp"
#include "analysis/report/numbers.hpp"

namespace thumblight::report::chart {
namespace {

constexpr double kMargin = 64;
constexpr std::array kTitleSizes = {46.0, 40.0, 34.0};  ///< the greatest that two lines hold
constexpr double kTitleLine = 58;
constexpr std::size_t kTitleLines = 2;
constexpr double kFirstTitleLine = 92;
constexpr double kLine = 42;
constexpr double kLegendPatch = 30;
constexpr double kMostNameWidth = 620;
constexpr double kNameGap = 24;
constexpr double kValueWidth = 250;  ///< for the words to the right of the rows
constexpr double kAxisHeight = 92;   ///< for the numbers and the unit below the rows
constexpr double kMostRowHeight = 360;

double widest_name(const std::vector<RowName>& rows) {
  double widest = 0;
  for (const RowName& row : rows) {
    widest = std::max(
        {widest, text_width(row.name, kTextSize, true), text_width(row.explanation, kTextSize)});
  }
  return std::min(widest, kMostNameWidth);
}

double title_size_for(const std::string& title, double width) {
  for (const double size : kTitleSizes) {
    if (broken(title, width, size, kTitleLines + 1, true).size() <= kTitleLines) {
      return size;
    }
  }
  return kTitleSizes.back();
}

}  // namespace

RowPage::RowPage(const PageWords& words, const std::vector<RowName>& rows, const Axis& axis)
    : svg_(kPageWidth, kPageHeight, words.finding, words.description), axis_(axis) {
  svg_.add("rect", {{"width", kPageWidth}, {"height", kPageHeight}, {"fill", kPaper}});
  define_hatchings(svg_);
  left_ = kMargin + widest_name(rows) + kNameGap;
  bottom_ = kPageHeight - kAxisHeight - (words.note.empty() ? 24 : 24 + kLine);
  draw_words(words);
  row_height_ =
      std::min(kMostRowHeight,
               (bottom_ - top_) / static_cast<double>(std::max<std::size_t>(rows.size(), 1)));
  const double height = row_height_ * static_cast<double>(rows.size());
  top_ += (bottom_ - top_ - height) / 3;
  bottom_ = top_ + height;
  draw_rules(rows.size());
  draw_axis();
  draw_names(rows);
}

double RowPage::right() const {
  return kPageWidth - kMargin - kValueWidth;
}

double RowPage::x(double ms) const {
  return left_ + (ms - axis_.low_ms) / (axis_.high_ms - axis_.low_ms) * (right() - left_);
}

double RowPage::middle(std::size_t row) const {
  return top_ + row_height_ * (static_cast<double>(row) + 0.5);
}

void RowPage::draw_words(const PageWords& words) {
  const double width = kPageWidth - 2 * kMargin;
  double y = kFirstTitleLine;
  const double title_size = title_size_for(words.finding, width);
  for (const std::string& line : broken(words.finding, width, title_size, kTitleLines, true)) {
    svg_.text(line, {{"class", "finding"},
                     {"x", kMargin},
                     {"y", y},
                     {"font-size", title_size},
                     {"font-weight", "bold"},
                     {"fill", kInk}});
    y += kTitleLine;
  }
  for (const std::string& line : words.circumstances) {
    svg_.text(shortened(line, width, kTextSize), {{"class", "circumstance"},
                                                  {"x", kMargin},
                                                  {"y", y},
                                                  {"font-size", kTextSize},
                                                  {"fill", kSoftInk}});
    y += kLine;
  }
  top_ = y;
  draw_legend(words.legend);
  if (!words.note.empty()) {
    svg_.text(shortened(words.note, width, kTextSize), {{"class", "note"},
                                                        {"x", kMargin},
                                                        {"y", kPageHeight - 30},
                                                        {"font-size", kTextSize},
                                                        {"fill", kSoftInk}});
  }
}

void RowPage::draw_legend(const std::vector<LegendEntry>& legend) {
  double from = kMargin;
  double y = top_;
  for (const LegendEntry& entry : legend) {
    const double patch =
        entry.length_ms ? std::max(x(axis_.low_ms + *entry.length_ms) - left_, 2.0) : kLegendPatch;
    const double width = patch + 12 + text_width(entry.words, kTextSize);
    if (from > kMargin && from + width > kPageWidth - kMargin) {
      from = kMargin;
      y += kLine;
    }
    if (entry.length_ms) {
      draw_whisker(svg_, {from, from + patch, y, 9, 3, false, false}, {{"class", "length"}});
    } else {
      svg_.add("rect", {{"class", "legend"},
                        {"x", from},
                        {"y", y - kLegendPatch / 2},
                        {"width", kLegendPatch},
                        {"height", kLegendPatch},
                        {"fill", entry.fill},
                        {"stroke", kInk},
                        {"stroke-width", "2"}});
    }
    svg_.text(entry.words,
              {{"x", from + patch + 12}, {"y", y + 10}, {"font-size", kTextSize}, {"fill", kInk}});
    from += width + 44;
  }
  top_ = legend.empty() ? top_ - kLine / 2 : y + kLine;
}

void RowPage::draw_rules(std::size_t rows) {
  for (std::size_t k = 0; k <= rows; ++k) {
    const double y = top_ + row_height_ * static_cast<double>(k);
    svg_.add("line", {{"class", "rule"},
                      {"x1", kMargin},
                      {"y1", y},
                      {"x2", kPageWidth - kMargin},
                      {"y2", y},
                      {"stroke", "#e9e9e3"},
                      {"stroke-width", 2}});
  }
}

void RowPage::draw_axis() {
  for (const double tick : axis_.ticks()) {
    svg_.add("line", {{"class", "grid"},
                      {"x1", x(tick)},
                      {"y1", top_},
                      {"x2", x(tick)},
                      {"y2", bottom_ + 8},
                      {"stroke", tick == 0 ? kSoftInk : "#d5d8db"},
                      {"stroke-width", 2}});
    svg_.text(fixed(tick, axis_.decimals), {{"class", "tick"},
                                            {"x", x(tick)},
                                            {"y", bottom_ + 40},
                                            {"font-size", kTextSize},
                                            {"text-anchor", "middle"},
                                            {"fill", kInk}});
  }
  svg_.text("milliseconds", {{"class", "unit"},
                             {"x", (left_ + right()) / 2},
                             {"y", bottom_ + 80},
                             {"font-size", kTextSize},
                             {"text-anchor", "middle"},
                             {"fill", kInk}});
}

void RowPage::draw_names(const std::vector<RowName>& rows) {
  const double width = left_ - kNameGap - kMargin;
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const bool has_room = row_height_ >= 2.4 * kTextSize;
    std::vector<std::string> lines = {shortened(rows[k].name, width, kTextSize, true)};
    if (has_room && rows[k].explanation.empty()) {
      lines = broken(rows[k].name, width, kTextSize, 2, true);
    } else if (has_room) {
      lines.push_back(rows[k].explanation);
    }
    double y = middle(k) + 10 - 18 * static_cast<double>(lines.size() - 1);
    for (std::size_t n = 0; n < lines.size(); ++n) {
      const bool is_name = n == 0 || rows[k].explanation.empty();
      svg_.text(lines[n], {{"class", is_name ? "name" : "explanation"},
                           {"x", left_ - kNameGap},
                           {"y", y},
                           {"font-size", kTextSize},
                           {"font-weight", is_name ? "bold" : "normal"},
                           {"text-anchor", "end"},
                           {"fill", is_name ? kInk : kSoftInk}});
      y += 36;
    }
  }
}

void RowPage::tell(std::size_t row, const std::string& words) {
  tell(row, words, right() + 20);
}

void RowPage::tell(std::size_t row, const std::string& words, double from_x) {
  // Keeps the lines of the grid out of the words.
  svg_.add("rect", {{"x", from_x - 6},
                    {"y", middle(row) - 18},
                    {"width", text_width(words, kTextSize, true) + 12},
                    {"height", 36},
                    {"fill", kPaper}});
  svg_.text(words, {{"class", "value"},
                    {"x", from_x},
                    {"y", middle(row) + 10},
                    {"font-size", kTextSize},
                    {"font-weight", "bold"},
                    {"fill", kInk}});
}

}  // namespace thumblight::report::chart
