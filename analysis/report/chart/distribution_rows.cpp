#include <algorithm>
#include <cmath>
#include <map>

#include "analysis/report/chart/marks.hpp"
#include "analysis/report/chart/rows.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/statistics/quantile.hpp"

namespace thumblight::report::chart {
namespace {

/// Presses by bin; bin k holds from k widths to below k + 1.
std::map<long long, std::size_t> counted(const std::vector<double>& values_ms, double bin_ms) {
  std::map<long long, std::size_t> counts;
  for (const double value_ms : values_ms) {
    ++counts[std::llround(std::floor(value_ms / bin_ms + 1e-9))];
  }
  return counts;
}

void draw_bins(RowPage& page, std::size_t row, const Row& drawn, double bin_ms) {
  const auto counts = counted(drawn.values().values_ms, bin_ms);
  std::size_t most = 0;
  for (const auto& [bin, count] : counts) {
    most = std::max(most, count);
  }
  const double foot = page.middle(row) + 0.22 * page.row_height();
  for (const auto& [bin, count] : counts) {
    const double from_ms = static_cast<double>(bin) * bin_ms;
    const double height =
        0.62 * page.row_height() * static_cast<double>(count) / static_cast<double>(most);
    page.svg().add("rect", {{"class", "bin"},
                            {"x", page.x(from_ms)},
                            {"y", foot - height},
                            {"width", page.x(from_ms + bin_ms) - page.x(from_ms)},
                            {"height", height},
                            {"fill", dot_fill_of(drawn.portion)},
                            {"stroke", kInk},
                            {"stroke-width", "1"},
                            {"data-presses", std::to_string(count)},
                            ms_attribute("data-from-ms", from_ms),
                            ms_attribute("data-to-ms", from_ms + bin_ms)});
  }
}

void draw_quantiles(RowPage& page, std::size_t row, const ChartedMean& mean) {
  const double y = page.middle(row) + 0.34 * page.row_height();
  draw_whisker(page.svg(), {page.x(mean.p05_ms), page.x(mean.p95_ms), y, 7, 4, false, false},
               {{"class", "quantiles"},
                ms_attribute("data-from-ms", mean.p05_ms),
                ms_attribute("data-to-ms", mean.p95_ms)});
  draw_centre(page.svg(), page.x(mean.median_ms), y,
              {{"class", "median"}, ms_attribute("data-ms", mean.median_ms)});
}

/// Freedman and Diaconis' width, twice the interquartile range over the cube root of n.
double rule_ms(const std::vector<double>& values_ms) {
  std::vector<double> sorted = values_ms;
  std::sort(sorted.begin(), sorted.end());
  const double range_ms = *statistics::quantile(sorted, 0.75) - *statistics::quantile(sorted, 0.25);
  return 2 * range_ms / std::cbrt(static_cast<double>(sorted.size()));
}

}  // namespace

double bin_width_ms(const std::vector<Row>& rows) {
  constexpr double kMostBins = 150;
  std::vector<double> rules_ms;
  double frame_ms = 0;
  for (const Row& row : rows) {
    if (!row.values().values_ms.empty()) {
      rules_ms.push_back(rule_ms(row.values().values_ms));
      frame_ms = std::max(frame_ms, row.set_up->frame_ms.value_or(0));
    }
  }
  const Axis axis = axis_of_presses(rows);
  const double least_ms = std::max((axis.high_ms - axis.low_ms) / kMostBins, 0.001);
  const double width_ms = std::max(*statistics::median(rules_ms), least_ms);
  return frame_ms > 0 ? frame_ms * std::max(1.0, std::round(width_ms / frame_ms))
                      : round_step(width_ms);
}

Axis axis_of_distributions(const std::vector<Row>& rows, double bin_ms) {
  const Axis presses = axis_of_presses(rows);
  double low_ms = presses.high_ms;
  double high_ms = presses.low_ms;
  for (const Row& row : rows) {
    for (const auto& [bin, count] : counted(row.values().values_ms, bin_ms)) {
      low_ms = std::min(low_ms, static_cast<double>(bin) * bin_ms);
      high_ms = std::max(high_ms, static_cast<double>(bin + 1) * bin_ms);
    }
  }
  return make_axis(low_ms, high_ms);
}

void draw_distributions(RowPage& page, const std::vector<Row>& rows, double bin_ms) {
  for (std::size_t k = 0; k < rows.size(); ++k) {
    if (!rows[k].values().mean) {
      page.tell(k, "not known");
      continue;
    }
    draw_bins(page, k, rows[k], bin_ms);
    draw_quantiles(page, k, *rows[k].values().mean);
    page.tell(k, "median " + fixed(rows[k].values().mean->median_ms, 1));
  }
}

}  // namespace thumblight::report::chart
