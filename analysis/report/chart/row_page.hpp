#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/report/chart/axis.hpp"
#include "analysis/report/chart/svg.hpp"

/// The page that all charts share: a title, a line below it, a legend, and rows with a name each
/// over one axis of milliseconds.
namespace thumblight::report::chart {

inline constexpr double kPageWidth = 1920;
inline constexpr double kPageHeight = 1080;
inline constexpr double kTextSize = 28;  ///< no text is smaller
inline constexpr char kInk[] = "#1b1f24";
inline constexpr char kSoftInk[] = "#4a525c";
inline constexpr char kPaper[] = "#fbfbf8";

/// A part of the legend: a patch of colour or a length to scale, and its words.
struct LegendEntry {
  std::string fill;  ///< a colour, or `url(#…)` of a pattern
  std::string words;
  std::optional<double> length_ms;  ///< a length instead of a patch
};

struct RowName {
  std::string name;
  std::string explanation;  ///< a second line; empty for none
};

struct PageWords {
  std::string finding;                     ///< the title
  std::vector<std::string> circumstances;  ///< the lines below it
  std::string note;                        ///< a last line; empty for none
  std::string description;  ///< the numbers in words, for those who do not see the picture
  std::vector<LegendEntry> legend;
};

class RowPage {
 public:
  RowPage(const PageWords& words, const std::vector<RowName>& rows, const Axis& axis);

  double x(double ms) const;
  double row_height() const { return row_height_; }
  double middle(std::size_t row) const;  ///< y of the row's middle
  double right() const;                  ///< x of the axis' end
  const Axis& axis() const { return axis_; }
  Svg& svg() { return svg_; }

  /// Words in the column to the right of the row, or from `from_x` on.
  void tell(std::size_t row, const std::string& words);
  void tell(std::size_t row, const std::string& words, double from_x);

  std::string finish() const { return svg_.finish(); }

 private:
  void draw_words(const PageWords& words);
  void draw_legend(const std::vector<LegendEntry>& legend);
  void draw_rules(std::size_t rows);
  void draw_axis();
  void draw_names(const std::vector<RowName>& rows);

  Svg svg_;
  Axis axis_;
  double left_ = 0;
  double top_ = 0;
  double bottom_ = 0;
  double row_height_ = 0;
};

}  // namespace thumblight::report::chart
