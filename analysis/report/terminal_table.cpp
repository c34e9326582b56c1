#include "analysis/report/terminal_table.hpp"

#include <algorithm>
#include <array>

#include "analysis/report/mark_words.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/portion_digits.hpp"
#include "analysis/report/wrap.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

constexpr std::size_t kPortionColumn = 10;
constexpr std::size_t kPressesWidth = 6;
constexpr std::array<std::size_t, 6> kWidths = {9, 20, 9, 8, 9, 9};

std::string left(const std::string& text, std::size_t width) {
  return text + std::string(text.size() < width ? width - text.size() : 0, ' ');
}

/// Ranged right, with at least one space before it.
std::string right(const std::string& text, std::size_t width) {
  return std::string(text.size() < width ? width - text.size() : 1, ' ') + text;
}

std::string row_of(const std::string& name, const std::string& count,
                   const std::array<std::string, kWidths.size()>& cells) {
  std::string row = left(name, kPortionColumn) + right(count, kPressesWidth);
  for (std::size_t k = 0; k < cells.size(); ++k) {
    row += right(cells[k], kWidths[k]);
  }
  row.erase(row.find_last_not_of(' ') + 1);
  return row + '\n';
}

std::string summary_row(const std::string& name, const PortionResult& portion) {
  const statistics::Summary& summary = *portion.summary;
  const int decimals = decimals_of(portion);
  const auto number = [decimals](double value) { return fixed(value, decimals); };
  const std::string interval = portion.mean_interval ? number(portion.mean_interval->low) + " to " +
                                                           number(portion.mean_interval->high)
                                                     : "-";
  return row_of(name, std::to_string(summary.n),
                {number(summary.mean), interval, number(summary.median),
                 summary.sd ? number(*summary.sd) : "-", number(summary.p05), number(summary.p95)});
}

std::string bounds_row(const std::string& name, const timing::Bounds& bounds) {
  return left(name, kPortionColumn) + right("", kPressesWidth) + "   mean within " +
         outward(bounds.low_ms, bounds.high_ms) + '\n';
}

std::string portion_row(const Result& result, Portion portion) {
  const PortionResult& values = result.portions[portion];
  if (values.summary) {
    return summary_row(name(portion), values);
  }
  if (values.mean_bounds) {
    return bounds_row(name(portion), *values.mean_bounds);
  }
  return left(name(portion), kPortionColumn) + right("-", kPressesWidth) + "   not known\n";
}

std::string heading(const Result& result) {
  const timing::PairingCounts& counts = result.split.counts;
  std::string text = counted(counts.recorded) + " in the recording";
  if (!result.split.flip_how.empty()) {
    text += ", " + std::to_string(counts.logged) + " in the log, " + std::to_string(counts.paired) +
            " paired; clock link: " + name(result.split.clock_link.kind) +
            "; flip: " + result.split.flip_how;
  } else {
    text += ", no log";
  }
  return wrap(text);
}

std::string labels_of(const Result& result) {
  std::string text;
  for (const auto& [label, value] : result.labels) {
    text += (text.empty() ? "" : ", ") + label + ": " + value;
  }
  return text.empty() ? "" : wrap(printable(text));
}

std::string drift_of(const Result& result) {
  const std::optional<timing::Drift>& drift = result.split.clock_link.drift;
  if (!drift) {
    return "";
  }
  const int decimals = decimals_for(drift->u_ppm);
  return wrap("drift of the clocks, from " + std::to_string(drift->n) +
              " lights: " + fixed(drift->rate_ppm, decimals) + " ppm, standard uncertainty " +
              fixed(drift->u_ppm, decimals) + " ppm");
}

std::string why_total_alone(const Result& result) {
  return std::string(result.portions[Portion::kTotal].summary
                         ? "No portion but the total is told"
                         : "A total is all that could be told") +
         ", since there is no log of the harness to say when the event arrived and the frame went "
         "out.";
}

std::string variation_of(const Result& result) {
  std::string text;
  if (result.variation) {
    for (const std::string& line : sentences(*result.variation)) {
      text += wrap(line);
    }
  }
  return text;
}

std::string marks_of(const Result& result) {
  std::string text;
  for (const std::string& line : mark_words(result)) {
    text += wrap(printable(line));
  }
  return text;
}

}  // namespace

std::string terminal_table(const Result& result) {
  std::string text = labels_of(result) + heading(result) + marks_of(result) + '\n';
  text += row_of("ms", "n", {"mean", "95 % interval", "median", "SD", "5 %", "95 %"});
  const bool has_log = !result.split.flip_how.empty();
  for (const Portion portion : timing::kPortions) {
    text += has_log || portion == Portion::kTotal ? portion_row(result, portion) : "";
  }
  text += has_log ? "" : '\n' + wrap(why_total_alone(result));
  for (const std::string& part : {drift_of(result), variation_of(result)}) {
    text += part.empty() ? "" : '\n' + part;
  }
  return text;
}

std::string terminal_warnings(const std::vector<onset::Warning>& warnings) {
  std::string text;
  for (const onset::Warning& warning : warnings) {
    text += "warning: " + printable(warning.text) + " [" + printable(warning.code) + "]\n";
    if (!warning.remedy.empty()) {
      text += "  to try: " + printable(warning.remedy) + '\n';
    }
  }
  return text;
}

}  // namespace thumblight::report
