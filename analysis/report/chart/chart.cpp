#include "analysis/report/chart/chart.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "analysis/report/chart/chart_text.hpp"
#include "analysis/report/chart/charted.hpp"
#include "analysis/report/chart/finding.hpp"
#include "analysis/report/chart/marks.hpp"
#include "analysis/report/chart/rows.hpp"
#include "analysis/report/numbers.hpp"
#include "harness/session/error.hpp"

namespace thumblight::report::chart {
namespace {

using timing::Portion;

constexpr char kNothingToDraw[] =
    "no total is known, so there is nothing to draw; see the warnings for what to mend";

// What the numbers are, in words.

std::string described(const ChartedSetUp& set_up) {
  std::string text;
  for (const Portion portion : timing::kPortions) {
    const ChartedPortion& values = set_up.portions[portion];
    const std::string begin = (text.empty() ? "" : ", ") + std::string(timing::name(portion)) + ' ';
    if (values.mean) {
      text += begin + value_text(*values.mean);
    } else if (values.bounds_ms) {
      text += begin + "within " + value_text(*values.bounds_ms);
    }
  }
  return set_up.name + ": " + (text.empty() ? "nothing known" : text + " ms") + '.';
}

std::string described(const std::vector<ChartedSetUp>& set_ups) {
  std::string text = "Means with the half-width of their 95 % interval.";
  for (const ChartedSetUp& set_up : set_ups) {
    text += ' ' + described(set_up);
  }
  return text;
}

// Legends.

std::vector<LegendEntry> legend_of_pieces(const std::vector<ChartedSetUp>& set_ups) {
  std::set<std::string> kinds;
  for (const ChartedSetUp& set_up : set_ups) {
    for (const Piece& piece : pieces_of(set_up)) {
      kinds.insert(piece.kind);
    }
  }
  const std::array<std::pair<const char*, LegendEntry>, 5> all = {{
      {"delivery", {fill_of(Portion::kDelivery), "delivery", {}}},
      {"either", {either_fill(), "delivery or screen, not told apart", {}}},
      {"render", {fill_of(Portion::kRender), "program and refresh", {}}},
      {"screen", {fill_of(Portion::kScreen), "screen", {}}},
      {"total", {fill_of(Portion::kTotal), "total alone", {}}},
  }};
  std::vector<LegendEntry> legend;
  for (const auto& [kind, entry] : all) {
    if (kinds.count(kind) > 0) {
      legend.push_back(entry);
    }
  }
  return legend;
}

/// What hatching means, where a row is hatched.
std::vector<LegendEntry> legend_of_bounds(const std::vector<Row>& rows) {
  for (const Row& row : rows) {
    if (row.values().bounds_ms) {
      return {{bounds_fill_of(row.portion), "the mean lies somewhere within", {}}};
    }
  }
  return {};
}

/// The one value that all set-ups share to a hundredth; empty if they do not.
std::optional<double> shared(const std::vector<ChartedSetUp>& set_ups,
                             std::optional<double> ChartedSetUp::*member) {
  const std::optional<double> first = set_ups.front().*member;
  for (const ChartedSetUp& set_up : set_ups) {
    const std::optional<double>& other = set_up.*member;
    if (!first || !other || std::abs(*other - *first) > 0.01 * *first) {
      return std::nullopt;
    }
  }
  return first;
}

/// Camera frame and refresh as lengths, where they are the same for all.
std::vector<LegendEntry> legend_of_lengths(const std::vector<ChartedSetUp>& set_ups) {
  std::vector<LegendEntry> legend;
  if (const auto frame_ms = shared(set_ups, &ChartedSetUp::frame_ms)) {
    legend.push_back({"", "camera frame, " + fixed(*frame_ms, 2) + " ms", frame_ms});
  }
  if (const auto refresh_ms = shared(set_ups, &ChartedSetUp::refresh_ms)) {
    legend.push_back({"", "refresh, " + fixed(*refresh_ms, 2) + " ms", refresh_ms});
  }
  return legend;
}

// Pages.

/// How the rows of one page are drawn.
struct Drawing {
  ChartKind kind = ChartKind::kBars;
  bool is_of_one_session = false;
  double bin_ms = 0;  ///< of a distribution
};

std::string keys_of(const Drawing& drawing) {
  switch (drawing.kind) {
    case ChartKind::kBars:
      return "means with 95 % intervals";
    case ChartKind::kPresses:
      return "a dot for each, the first at the top; below: mean with 95 % interval";
    case ChartKind::kDistribution:
      break;
  }
  return "counts per " + fixed(drawing.bin_ms, 2) +
         " ms, each row to its own height; dot: median; line: 5 to 95 %";
}

Axis axis_of(const Drawing& drawing, const std::vector<Row>& rows) {
  switch (drawing.kind) {
    case ChartKind::kBars:
      return axis_of_bars(rows);
    case ChartKind::kPresses:
      return axis_of_presses(rows);
    case ChartKind::kDistribution:
      break;
  }
  return axis_of_distributions(rows, drawing.bin_ms);
}

void draw(RowPage& page, const Drawing& drawing, const std::vector<Row>& rows) {
  if (drawing.kind == ChartKind::kPresses) {
    draw_presses(page, rows);
  } else if (drawing.kind == ChartKind::kDistribution) {
    draw_distributions(page, rows, drawing.bin_ms);
  } else if (drawing.is_of_one_session) {
    draw_plain_bars(page, rows);
  } else {
    draw_split_bars(page, rows);
  }
}

Drawing drawing_of(ChartKind kind, bool is_of_one_session, const std::vector<Row>& rows) {
  return {kind, is_of_one_session, kind == ChartKind::kDistribution ? bin_width_ms(rows) : 0};
}

// One session.

RowName name_of(Portion portion) {
  switch (portion) {
    case Portion::kTotal:
      return {"total", "button to light"};
    case Portion::kDelivery:
      return {"delivery", "button to event"};
    case Portion::kRender:
      return {"render", "event to refresh"};
    case Portion::kScreen:
      return {"screen", "refresh to light"};
    case Portion::kDisplay:
      return {"display", "event to light"};
    case Portion::kRemainder:
      break;
  }
  return {"remainder", "delivery and screen"};
}

/// The portions of which something is known; the remainder where it is not split, and for a
/// distribution those alone that are known press by press.
std::vector<Row> rows_of(const ChartedSetUp& set_up, ChartKind kind) {
  std::vector<Row> rows;
  const bool is_split = set_up.portions[Portion::kDelivery].mean.has_value();
  for (const Portion portion : timing::kPortions) {
    const ChartedPortion& values = set_up.portions[portion];
    const bool is_wanted =
        portion == Portion::kRemainder ? !is_split : portion != Portion::kDisplay;
    const bool may_be_bounds = kind != ChartKind::kDistribution;
    if (is_wanted && (values.mean || (values.bounds_ms && may_be_bounds))) {
      rows.push_back({&set_up, portion});
    }
  }
  return rows;
}

std::string labels_of(const Result& result) {
  std::string text;
  for (const auto& [label, value] : result.labels) {
    text += (text.empty() ? "" : ", ") + isolated(clean(value));
  }
  return text;
}

std::vector<std::string> circumstances_of(const Result& result, const std::string& keys) {
  const std::string labels = labels_of(result);
  const std::string counted_keys =
      counted(result.portions[Portion::kTotal].summary->n) + "; " + keys;
  return labels.empty() ? std::vector{counted_keys} : std::vector{labels, counted_keys};
}

// Several sessions.

/// The soonest first, those without a total last.
void sort_by_total(std::vector<ChartedSetUp>& set_ups) {
  std::stable_sort(set_ups.begin(), set_ups.end(),
                   [](const ChartedSetUp& a, const ChartedSetUp& b) {
                     if (!a.total() || !b.total()) {
                       return a.total().has_value() && !b.total();
                     }
                     return a.total()->mean_ms < b.total()->mean_ms;
                   });
}

/// Keeps what one picture holds; gives a note where that is not all.
std::string keep_soonest(std::vector<ChartedSetUp>& set_ups) {
  const std::size_t all = set_ups.size();
  if (all <= kMostSetUps) {
    return "";
  }
  set_ups.resize(kMostSetUps);
  return "The " + std::to_string(kMostSetUps) + " soonest of " + std::to_string(all) + " set-ups.";
}

std::string counts_of(const std::vector<ChartedSetUp>& set_ups) {
  std::size_t least = set_ups.front().total()->n;
  std::size_t most = least;
  for (const ChartedSetUp& set_up : set_ups) {
    if (set_up.total()) {
      least = std::min(least, set_up.total()->n);
      most = std::max(most, set_up.total()->n);
    }
  }
  return least == most ? std::to_string(most) + " presses each"
                       : std::to_string(least) + " to " + std::to_string(most) + " presses each";
}

}  // namespace

std::optional<ChartKind> chart_kind_of(const std::string& name) {
  if (name == "bars") {
    return ChartKind::kBars;
  }
  if (name == "presses") {
    return ChartKind::kPresses;
  }
  return name == "distribution" ? std::optional(ChartKind::kDistribution) : std::nullopt;
}

std::string session_chart(const Result& result, ChartKind kind) {
  const ChartedSetUp set_up = charted(result, "this session");
  if (!set_up.total()) {
    throw Error(kNothingToDraw);
  }
  const std::vector<Row> rows = rows_of(set_up, kind);
  const Drawing drawing = drawing_of(kind, true, rows);
  std::vector<RowName> names;
  names.reserve(rows.size());
  for (const Row& row : rows) {
    names.push_back(name_of(row.portion));
  }
  PageWords words;
  words.finding = finding(result, kind);
  words.circumstances = circumstances_of(result, keys_of(drawing));
  words.description = described({set_up});
  words.legend = kind == ChartKind::kBars ? legend_of_bounds(rows) : legend_of_lengths({set_up});
  RowPage page(words, names, axis_of(drawing, rows));
  draw(page, drawing, rows);
  return page.finish();
}

std::string comparison_chart(const ComparisonResult& comparison, ChartKind kind) {
  std::vector<ChartedSetUp> set_ups = charted(comparison);
  sort_by_total(set_ups);
  if (!set_ups.front().total()) {
    throw Error(kNothingToDraw);
  }
  PageWords words;
  words.note = keep_soonest(set_ups);
  std::vector<Row> rows;
  std::vector<RowName> names;
  for (const ChartedSetUp& set_up : set_ups) {
    rows.push_back({&set_up, Portion::kTotal});
    names.push_back({isolated(set_up.name), ""});
  }
  const Drawing drawing = drawing_of(kind, false, rows);
  words.finding = finding(comparison);
  words.circumstances = {"Button to light, " + counts_of(set_ups) + "; " + keys_of(drawing)};
  words.description = described(set_ups);
  words.legend = kind == ChartKind::kBars ? legend_of_pieces(set_ups) : legend_of_lengths(set_ups);
  RowPage page(words, names, axis_of(drawing, rows));
  draw(page, drawing, rows);
  return page.finish();
}

}  // namespace thumblight::report::chart
