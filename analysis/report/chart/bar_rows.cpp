#include <algorithm>
#include <cmath>

#include "analysis/report/chart/chart_text.hpp"
#include "analysis/report/chart/marks.hpp"
#include "analysis/report/chart/rows.hpp"
#include "analysis/report/numbers.hpp"

namespace thumblight::report::chart {
namespace {

using timing::Portion;

/// A whisker longer than this many greatest means is cut off, so that the bars stay legible.
constexpr double kMostReach = 1.5;
constexpr double kMostBarHeight = 130;

double bar_height(const RowPage& page) {
  return std::min(0.66 * page.row_height(), kMostBarHeight);
}

double least_of(const ChartedPortion& portion) {
  if (portion.bounds_ms) {
    return portion.bounds_ms->low_ms;
  }
  return portion.mean ? portion.mean->mean_ms : 0;
}

Portion portion_of(const Piece& piece) {
  for (const Portion portion : timing::kPortions) {
    if (piece.kind == timing::name(portion)) {
      return portion;
    }
  }
  return Portion::kTotal;
}

std::string fill_of_piece(const Piece& piece) {
  return piece.kind == "either" ? either_fill() : fill_of(portion_of(piece));
}

void draw_piece(RowPage& page, std::size_t row, const Piece& piece, const std::string& fill) {
  const double height = bar_height(page);
  page.svg().add("rect", {{"class", piece.kind},
                          {"x", page.x(std::min(piece.from_ms, piece.to_ms))},
                          {"y", page.middle(row) - height / 2},
                          {"width", std::abs(page.x(piece.to_ms) - page.x(piece.from_ms))},
                          {"height", height},
                          {"fill", fill},
                          {"stroke", kInk},
                          {"stroke-width", "2"},
                          ms_attribute("data-from-ms", piece.from_ms),
                          ms_attribute("data-to-ms", piece.to_ms)});
}

/// What a piece says within itself: its mean with as much of its interval as there is room for.
std::string words_within(const ChartedPortion& portion, double room) {
  if (!portion.mean) {
    return "";
  }
  const std::string whole = value_text(*portion.mean);
  const std::string digits = whole.substr(0, whole.find(' '));
  for (const std::string& words : {whole, digits}) {
    if (text_width(words, kTextSize) <= room) {
      return words;
    }
  }
  return "";
}

void write_within(RowPage& page, std::size_t row, const Piece& piece, const std::string& words,
                  double from_x, double to_x) {
  if (words.empty()) {
    return;
  }
  page.svg().text(words, {{"class", "part"},
                          {"x", (from_x + to_x) / 2},
                          {"y", page.middle(row) + 10},
                          {"font-size", kTextSize},
                          {"text-anchor", "middle"},
                          {"fill", piece.kind == "delivery" ? "#ffffff" : kInk}});
}

/// Draws the interval about the end of a bar; gives the x up to which it reaches.
double draw_interval(RowPage& page, std::size_t row, const ChartedMean& mean) {
  if (!mean.interval) {
    return page.x(mean.mean_ms);
  }
  const Axis& axis = page.axis();
  const double low_ms = std::max(mean.interval->low, axis.low_ms);
  const double high_ms = std::min(mean.interval->high, axis.high_ms);
  draw_whisker(page.svg(),
               {page.x(low_ms), page.x(high_ms), page.middle(row), 13, 4,
                low_ms > mean.interval->low, high_ms < mean.interval->high},
               {{"class", "interval"},
                ms_attribute("data-from-ms", mean.interval->low),
                ms_attribute("data-to-ms", mean.interval->high)});
  return std::max(page.x(high_ms), page.x(mean.mean_ms));
}

/// Left end of the interval of a bar, beyond which its last piece has no room for words.
double interval_begin(const RowPage& page, const ChartedMean& mean) {
  return mean.interval ? page.x(std::max(mean.interval->low, page.axis().low_ms))
                       : page.x(mean.mean_ms);
}

void draw_split_bar(RowPage& page, std::size_t row, const ChartedSetUp& set_up) {
  const ChartedMean& total = *set_up.total();
  const std::vector<Piece> pieces = pieces_of(set_up);
  for (const Piece& piece : pieces) {
    draw_piece(page, row, piece, fill_of_piece(piece));
  }
  const double end_x = draw_interval(page, row, total);
  for (const Piece& piece : pieces) {
    if (piece.kind == "either" || piece.kind == "total") {
      continue;
    }
    const double from_x = page.x(piece.from_ms);
    const double to_x = std::min(page.x(piece.to_ms), interval_begin(page, total));
    write_within(page, row, piece,
                 words_within(set_up.portions[portion_of(piece)], to_x - from_x - 20), from_x,
                 to_x);
  }
  page.tell(row, value_text(total), end_x + 22);
}

void draw_bounded_bar(RowPage& page, std::size_t row, const Row& drawn) {
  const timing::Bounds& bounds = *drawn.values().bounds_ms;
  const std::string kind = timing::name(drawn.portion);
  if (bounds.low_ms > 0) {
    draw_piece(page, row, {kind, 0, bounds.low_ms}, fill_of(drawn.portion));
  }
  draw_piece(page, row, {"bounds", bounds.low_ms, bounds.high_ms}, bounds_fill_of(drawn.portion));
  page.tell(row, value_text(bounds), page.x(bounds.high_ms) + 22);
}

}  // namespace

std::vector<Piece> pieces_of(const ChartedSetUp& set_up) {
  if (!set_up.total()) {
    return {};
  }
  const double total_ms = set_up.total()->mean_ms;
  const ChartedPortion& render = set_up.portions[Portion::kRender];
  if (!render.mean) {
    return {{"total", 0, total_ms}};
  }
  const double delivery_ms = least_of(set_up.portions[Portion::kDelivery]);
  const double screen_ms = least_of(set_up.portions[Portion::kScreen]);
  const bool is_split =
      set_up.portions[Portion::kDelivery].mean && set_up.portions[Portion::kScreen].mean;
  const double either_ms =
      is_split ? 0 : std::max(0.0, total_ms - render.mean->mean_ms - delivery_ms - screen_ms);
  std::vector<Piece> pieces;
  double from_ms = 0;
  for (const auto& [kind, length_ms] :
       std::initializer_list<std::pair<const char*, double>>{{"delivery", delivery_ms},
                                                             {"either", either_ms},
                                                             {"render", render.mean->mean_ms},
                                                             {"screen", screen_ms}}) {
    if (length_ms != 0) {
      pieces.push_back({kind, from_ms, from_ms + length_ms});
      from_ms += length_ms;
    }
  }
  return pieces;
}

Axis axis_of_bars(const std::vector<Row>& rows) {
  double low_ms = 0;
  double high_ms = 0;
  double greatest_ms = 0;
  for (const Row& row : rows) {
    const ChartedPortion& values = row.values();
    if (values.bounds_ms) {
      greatest_ms = std::max(greatest_ms, values.bounds_ms->high_ms);
      low_ms = std::min(low_ms, values.bounds_ms->low_ms);
    }
    if (values.mean) {
      greatest_ms = std::max(greatest_ms, values.mean->mean_ms);
      low_ms = std::min(low_ms, values.mean->mean_ms);
      high_ms = std::max(high_ms, values.mean->interval ? values.mean->interval->high : 0);
    }
  }
  return make_axis(low_ms, std::clamp(high_ms, greatest_ms, kMostReach * greatest_ms));
}

void draw_split_bars(RowPage& page, const std::vector<Row>& rows) {
  for (std::size_t k = 0; k < rows.size(); ++k) {
    if (rows[k].values().mean) {
      draw_split_bar(page, k, *rows[k].set_up);
    } else {
      page.tell(k, "total not known", page.x(page.axis().low_ms) + 22);
    }
  }
}

void draw_plain_bars(RowPage& page, const std::vector<Row>& rows) {
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const ChartedPortion& values = rows[k].values();
    if (values.mean) {
      draw_piece(page, k, {timing::name(rows[k].portion), 0, values.mean->mean_ms},
                 rows[k].portion == Portion::kRemainder ? either_fill() : fill_of(rows[k].portion));
      page.tell(k, value_text(*values.mean), draw_interval(page, k, *values.mean) + 22);
    } else if (values.bounds_ms) {
      draw_bounded_bar(page, k, rows[k]);
    } else {
      page.tell(k, "not known", page.x(page.axis().low_ms) + 22);
    }
  }
}

}  // namespace thumblight::report::chart
