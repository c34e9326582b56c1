#pragma once

#include <vector>

#include "analysis/report/chart/charted.hpp"
#include "analysis/report/chart/row_page.hpp"

/// What is drawn into the rows of a page, kind by kind.
namespace thumblight::report::chart {

/// One row: a portion of a set-up, which outlives the row.
struct Row {
  const ChartedSetUp* set_up = nullptr;
  timing::Portion portion = timing::Portion::kTotal;

  const ChartedPortion& values() const { return set_up->portions[portion]; }
};

/// A piece of a bar; the pieces of a bar follow one another.
struct Piece {
  std::string kind;  ///< delivery, either, render, screen or total
  double from_ms = 0;
  double to_ms = 0;
};

/// The total as pieces: delivery, what is delivery or screen, render, screen, as far as they are
/// known; else one piece, the total. Empty without a total.
std::vector<Piece> pieces_of(const ChartedSetUp& set_up);

/// The axis that bars take, from 0 on; that presses take; and that whole bins take.
Axis axis_of_bars(const std::vector<Row>& rows);
Axis axis_of_presses(const std::vector<Row>& rows);
Axis axis_of_distributions(const std::vector<Row>& rows, double bin_ms);

/// Whole bars, each split into its pieces, with the interval of the total.
void draw_split_bars(RowPage& page, const std::vector<Row>& rows);
/// A bar for each row's mean with its interval, or its bounds.
void draw_plain_bars(RowPage& page, const std::vector<Row>& rows);
/// A dot for each press, the first at the row's top, and the mean with its interval.
void draw_presses(RowPage& page, const std::vector<Row>& rows);
/// A histogram for each row with the width `bin_ms`, and below it median and 5 to 95 %.
void draw_distributions(RowPage& page, const std::vector<Row>& rows, double bin_ms);

/// Width of the bins that suits all rows: a rule of statistics, but no less than a camera frame.
double bin_width_ms(const std::vector<Row>& rows);

}  // namespace thumblight::report::chart
