#include <algorithm>
#include <limits>

#include "analysis/report/chart/marks.hpp"
#include "analysis/report/chart/rows.hpp"

namespace thumblight::report::chart {
namespace {

/// Of all presses that the rows hold.
struct Extent {
  double low_ms = std::numeric_limits<double>::infinity();
  double high_ms = -std::numeric_limits<double>::infinity();
};

void take_in(Extent& extent, double low_ms, double high_ms) {
  extent.low_ms = std::min(extent.low_ms, low_ms);
  extent.high_ms = std::max(extent.high_ms, high_ms);
}

constexpr double kDotsShare = 0.72;  ///< of the row's height

double below(const RowPage& page) {
  return 0.38 * page.row_height();
}

double dot_radius(const RowPage& page, std::size_t presses) {
  const double room = kDotsShare * page.row_height() / static_cast<double>(presses);
  return std::clamp(2.6 * room, 4.0, 9.0);
}

void draw_dots(RowPage& page, std::size_t row, const Row& drawn) {
  const ChartedPortion& values = drawn.values();
  const std::size_t n = values.values_ms.size();
  const double radius = dot_radius(page, n);
  const double height = kDotsShare * page.row_height() - 2 * radius;
  const double top = page.middle(row) - 0.46 * page.row_height() + radius;
  for (std::size_t k = 0; k < n; ++k) {
    const double share = n == 1 ? 0.5 : static_cast<double>(k) / static_cast<double>(n - 1);
    const bool is_outlying = values.outlying[k];
    page.svg().add("circle", {{"class", is_outlying ? "press outlier" : "press"},
                              {"cx", page.x(values.values_ms[k])},
                              {"cy", top + share * height},
                              {"r", radius},
                              {"fill", dot_fill_of(drawn.portion)},
                              {"fill-opacity", "0.75"},
                              {"stroke", kInk},
                              {"stroke-width", is_outlying ? "4" : "1"},
                              ms_attribute("data-ms", values.values_ms[k])});
  }
}

/// The mean below the dots, on the whisker of its interval.
void draw_mean(RowPage& page, std::size_t row, const ChartedMean& mean) {
  const double y = page.middle(row) + below(page);
  if (mean.interval) {
    const Axis& axis = page.axis();
    const double low_ms = std::clamp(mean.interval->low, axis.low_ms, axis.high_ms);
    const double high_ms = std::clamp(mean.interval->high, axis.low_ms, axis.high_ms);
    draw_whisker(page.svg(),
                 {page.x(low_ms), page.x(high_ms), y, 7, 4, low_ms > mean.interval->low,
                  high_ms < mean.interval->high},
                 {{"class", "interval"},
                  ms_attribute("data-from-ms", mean.interval->low),
                  ms_attribute("data-to-ms", mean.interval->high)});
  }
  draw_centre(page.svg(), page.x(mean.mean_ms), y,
              {{"class", "mean"}, ms_attribute("data-ms", mean.mean_ms)});
}

void draw_bounds(RowPage& page, std::size_t row, const Row& drawn) {
  const timing::Bounds& bounds = *drawn.values().bounds_ms;
  const double height = 0.36 * page.row_height();
  page.svg().add("rect", {{"class", "bounds"},
                          {"x", page.x(bounds.low_ms)},
                          {"y", page.middle(row) - height / 2},
                          {"width", page.x(bounds.high_ms) - page.x(bounds.low_ms)},
                          {"height", height},
                          {"fill", bounds_fill_of(drawn.portion)},
                          {"stroke", kInk},
                          {"stroke-width", "2"},
                          ms_attribute("data-from-ms", bounds.low_ms),
                          ms_attribute("data-to-ms", bounds.high_ms)});
}

}  // namespace

Axis axis_of_presses(const std::vector<Row>& rows) {
  Extent extent;
  for (const Row& row : rows) {
    for (const double value_ms : row.values().values_ms) {
      take_in(extent, value_ms, value_ms);
    }
    if (const auto& bounds = row.values().bounds_ms) {
      take_in(extent, bounds->low_ms, bounds->high_ms);
    }
  }
  return make_axis(extent.low_ms, extent.high_ms);
}

void draw_presses(RowPage& page, const std::vector<Row>& rows) {
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const ChartedPortion& values = rows[k].values();
    if (values.mean) {
      draw_dots(page, k, rows[k]);
      draw_mean(page, k, *values.mean);
      page.tell(k, value_text(*values.mean));
    } else if (values.bounds_ms) {
      draw_bounds(page, k, rows[k]);
      page.tell(k, value_text(*values.bounds_ms));
    } else {
      page.tell(k, "not known");
    }
  }
}

}  // namespace thumblight::report::chart
