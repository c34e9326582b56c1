#include "analysis/report/terminal_comparison.hpp"

#include <algorithm>
#include <map>

#include "analysis/report/comparison_words.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/terminal_carry_over.hpp"
#include "analysis/report/text_columns.hpp"

namespace thumblight::report {
namespace {

using statistics::VerdictReason;
using timing::Bounds;
using timing::Portion;

constexpr double kFramesPerMs = 60.0 / 1000.0;
constexpr std::size_t kPairWidth = 13;

std::string line(const std::string& name, const std::vector<std::string>& cells,
                 const std::vector<std::size_t>& widths) {
  std::string text = ranged_left(name, kPairWidth);
  for (std::size_t k = 0; k < cells.size(); ++k) {
    text += ranged_right(cells[k], widths[k]);
  }
  text.erase(text.find_last_not_of(' ') + 1);
  return text + '\n';
}

std::string range(double low, double high, int decimals) {
  return fixed(low, decimals) + " to " + fixed(high, decimals);
}

std::string probability(const std::optional<double>& p) {
  if (!p) {
    return "-";
  }
  return *p < 0.001 ? "< 0.001" : fixed(*p, *p < 0.1 ? 3 : 2);
}

/// What the digits of a difference rest on; one decimal where nothing tells.
int decimals_of(const PortionDifference& difference) {
  const bool known = difference.verdict && difference.verdict->uncertainty_ms &&
                     *difference.verdict->uncertainty_ms > 0;
  return known ? decimals_for(*difference.verdict->uncertainty_ms) : 1;
}

std::string verdict_word(const PortionDifference& difference) {
  if (!difference.verdict || difference.verdict->reason == VerdictReason::kTooFewPresses) {
    return "-";
  }
  return difference.verdict->resolved() ? "resolved" : "open";
}

std::string frames(const PortionDifference& difference) {
  const std::optional<statistics::Interval> interval = difference.interval();
  const int decimals = interval && interval->half_width() > 0
                           ? decimals_for(interval->half_width() * kFramesPerMs)
                           : 2;
  return fixed(difference.difference_ms * kFramesPerMs, std::min(decimals, 2));
}

std::string interval_of(const PortionDifference& difference) {
  const std::optional<statistics::Interval> interval = difference.interval();
  return interval ? range(interval->low, interval->high, decimals_of(difference)) : "-";
}

std::string bounds_text(const Bounds& bounds) {
  return "within " + outward(bounds.low_ms, bounds.high_ms) + " (bounds)";
}

// Two set-ups.

const std::vector<std::size_t> kDifferenceWidths = {9, 19, 8, 11};

std::string difference_row(const PairComparison& pair, Portion portion) {
  if (const std::optional<PortionDifference>& found = pair.differences[portion]) {
    return line(name(portion),
                {fixed(found->difference_ms, decimals_of(*found)), interval_of(*found),
                 frames(*found), verdict_word(*found)},
                kDifferenceWidths);
  }
  if (const std::optional<Bounds>& bounds = pair.bounds_ms[portion]) {
    return ranged_left(name(portion), kPairWidth) + "   " + bounds_text(*bounds) + '\n';
  }
  return "";
}

/// The portions of which nothing is known in one of the two, or nothing press by press nor bounds.
std::string unknown_portions(const PairComparison& pair) {
  std::vector<std::string> names;
  for (const Portion portion : timing::kPortions) {
    if (!pair.differences[portion] && !pair.bounds_ms[portion]) {
      names.emplace_back(name(portion));
    }
  }
  return names.empty() ? "" : "not known of both: " + joined(names);
}

std::string difference_table(const PairComparison& pair, std::size_t columns) {
  std::string text =
      line("A less B, ms", {"means", "95 % interval", "frames", ""}, kDifferenceWidths);
  for (const Portion portion : timing::kPortions) {
    text += difference_row(pair, portion);
  }
  const std::string unknown = unknown_portions(pair);
  return text + (unknown.empty() ? "" : wrap(unknown, columns));
}

const std::vector<std::size_t> kRankWidths = {9, 19, 19};

std::string shift_interval(const PortionDifference& difference) {
  const auto best = difference.samples.shift->best();
  return best ? range(best->interval.low, best->interval.high, decimals_of(difference)) : "-";
}

std::string faster(const PortionDifference& difference) {
  const statistics::FasterProbability& found = *difference.samples.a_faster;
  return fixed(100 * found.estimate, 0) + " % (" +
         range(100 * found.interval.low, 100 * found.interval.high, 0) + ")";
}

/// Rows of the portions that are known press by press; empty if there are none.
template <typename Row>
std::string known_rows(const PairComparison& pair, const Row& row) {
  std::string text;
  for (const Portion portion : timing::kPortions) {
    if (pair.differences[portion]) {
      text += row(portion, *pair.differences[portion]);
    }
  }
  return text;
}

std::string rank_table(const PairComparison& pair) {
  const std::string rows =
      known_rows(pair, [](Portion portion, const PortionDifference& difference) {
        return line(name(portion),
                    {fixed(difference.samples.shift->shift, decimals_of(difference)),
                     shift_interval(difference), faster(difference)},
                    kRankWidths);
      });
  return rows.empty()
             ? ""
             : '\n' + line("by ranks, ms", {"shift", "95 % interval", "A sooner"}, kRankWidths) +
                   rows;
}

const std::vector<std::size_t> kSpreadWidths = {9, 9, 8, 21};

std::string sd(const std::optional<double>& sd_ms) {
  return sd_ms ? fixed(*sd_ms, *sd_ms > 0 ? decimals_for(*sd_ms) : 0) : "-";
}

std::string spread_word(const PortionDifference& difference, double level) {
  if (!difference.samples.spread) {
    return "-";
  }
  return difference.samples.spread->p <= 1 - level ? "spreads differ" : "none shown";
}

std::string spread_table(const PairComparison& pair, double level) {
  const std::string rows =
      known_rows(pair, [level](Portion portion, const PortionDifference& difference) {
        const auto& test = difference.samples.spread;
        return line(name(portion),
                    {sd(difference.sd_a_ms), sd(difference.sd_b_ms),
                     probability(test ? std::optional<double>(test->p) : std::nullopt),
                     spread_word(difference, level)},
                    kSpreadWidths);
      });
  return rows.empty()
             ? ""
             : '\n' + line("spread, ms", {"SD of A", "SD of B", "p", "difference"}, kSpreadWidths) +
                   rows;
}

std::string part_text(const SharedPart& part) {
  return part.source + " (" + fixed(part.u_ms, decimals_for(part.u_ms)) + " ms" +
         (part.cancels ? ", what is left of it with one camera in one place" : "") + ")";
}

std::string shared_paragraph(const PortionDifference& total) {
  if (!total.interval()) {
    return "";
  }
  std::vector<std::string> parts;
  for (const SharedPart& part : total.shared) {
    parts.push_back(part_text(part));
  }
  if (total.unseen_u_ms > 0) {
    parts.push_back("the instants' own resolution (" +
                    fixed(total.unseen_u_ms, decimals_for(total.unseen_u_ms)) + " ms)");
  }
  std::string text = parts.empty() ? ""
                                   : "The total's interval holds, as standard uncertainties "
                                     "that no number of presses lessens: " +
                                         joined(parts) + ".";
  if (!total.instants_stated) {
    text += std::string(text.empty() ? "" : " ") +
            "Not every instant states its uncertainty, so the interval rests on the scatter alone.";
  }
  return text;
}

std::string criterion_paragraph(const PairComparison& pair) {
  return pair.same_criterion ? ""
                             : "Mind that light counts from another share of the step in A than in "
                               "B: totals are compared as they stand.";
}

std::string pair_report(const ComparisonResult& comparison, std::size_t columns) {
  const PairComparison& pair = comparison.pairs.front();
  const std::string& a = comparison.sessions[pair.a].name;
  const std::string& b = comparison.sessions[pair.b].name;
  std::string text;
  const auto add = [&](const std::string& paragraph) {
    text += paragraph.empty() ? "" : '\n' + wrap(paragraph, columns);
  };
  const std::optional<PortionDifference>& total = pair.differences[Portion::kTotal];
  add(total ? "Total: " + verdict_sentence(*total, a, b)
            : "The total is not known of both, so nothing says which answers sooner.");
  add(delivery_sentence(pair, a, b));
  text += '\n' + difference_table(pair, columns) + rank_table(pair) +
          spread_table(pair, comparison.level);
  text += terminal_carry_over(comparison, columns);
  add(total ? shared_paragraph(*total) : "");
  add(criterion_paragraph(pair));
  return text;
}

// More than two.

const std::vector<std::size_t> kPairWidths = {9, 19, 8, 11};

std::string pair_name(const PairComparison& pair) {
  return letter(pair.a) + " less " + letter(pair.b);
}

std::string pair_row(const PairComparison& pair, const PortionDifference& difference) {
  return line(pair_name(pair),
              {fixed(difference.difference_ms, decimals_of(difference)), interval_of(difference),
               probability(difference.adjusted_p), verdict_word(difference)},
              kPairWidths);
}

/// One portion over all pairs; empty where no pair knows anything of it.
std::string portion_table(const ComparisonResult& comparison, Portion portion) {
  std::string rows;
  for (const PairComparison& pair : comparison.pairs) {
    if (pair.differences[portion]) {
      rows += pair_row(pair, *pair.differences[portion]);
    } else if (pair.bounds_ms[portion]) {
      rows += ranged_left(pair_name(pair), kPairWidth) + "   " +
              bounds_text(*pair.bounds_ms[portion]) + '\n';
    }
  }
  return rows.empty() ? ""
                      : '\n' +
                            line(std::string(name(portion)) + ", ms",
                                 {"means", "95 % interval", "p", ""}, kPairWidths) +
                            rows;
}

std::string pair_letters(const PairComparison& pair) {
  return letter(pair.a) + " and " + letter(pair.b);
}

/// The pairs whose remainders do not stand for their deliveries, by the reasons for it.
std::string refusals(const ComparisonResult& comparison, std::size_t columns) {
  std::map<std::string, std::vector<std::string>> refused;
  for (const PairComparison& pair : comparison.pairs) {
    if (pair.differences[Portion::kRemainder] && !pair.screen_differences.empty()) {
      refused[joined(pair.screen_differences)].push_back(pair_letters(pair));
    }
  }
  std::string text;
  for (const auto& [reasons, pairs] : refused) {
    text +=
        '\n' + wrap(
                   "It need not be that of the deliveries, since the screen portion need not be "
                   "the same, for " +
                       joined(pairs, "; ") + ": " + reasons + ".",
                   columns);
  }
  return text;
}

std::string deliveries(const ComparisonResult& comparison, std::size_t columns) {
  std::vector<std::string> carried;
  for (const PairComparison& pair : comparison.pairs) {
    if (pair.delivery_by_remainder() != nullptr) {
      carried.push_back(pair_letters(pair));
    }
  }
  const std::string refused = refusals(comparison, columns);
  if (carried.empty() && refused.empty()) {
    return "";
  }
  const std::string which =
      carried.empty()
          ? "no pair"
          : joined(carried, "; ") + " (host, display, mode, patch and pacing agree in the logs)";
  return '\n' +
         wrap(
             "The difference of the remainders is that of the deliveries, supposing that the "
             "screen "
             "portion is the same in both, for " +
                 which + ".",
             columns) +
         refused;
}

/// More pairs than this have no sentence each.
constexpr std::size_t kMostSentences = 10;

std::string resolved_sentences(const ComparisonResult& comparison, std::size_t columns) {
  std::string text;
  std::size_t resolved = 0;
  for (const PairComparison& pair : comparison.pairs) {
    const std::optional<PortionDifference>& total = pair.differences[Portion::kTotal];
    if (!total || !total->verdict || !total->verdict->resolved()) {
      continue;
    }
    ++resolved;
    if (comparison.pairs.size() <= kMostSentences) {
      text += wrap("Total: " + verdict_sentence(*total, comparison.sessions[pair.a].name,
                                                comparison.sessions[pair.b].name),
                   columns);
    }
  }
  return '\n' + text +
         wrap("Total: " + std::to_string(resolved) + " of " +
                  std::to_string(comparison.pairs.size()) + " pairs resolved.",
              columns);
}

std::string many_report(const ComparisonResult& comparison, std::size_t columns) {
  std::string text = resolved_sentences(comparison, columns);
  for (const Portion portion : timing::kPortions) {
    text += portion_table(comparison, portion);
  }
  text += deliveries(comparison, columns) + terminal_carry_over(comparison, columns);
  return text + '\n' +
         wrap(
             "p: Welch's, adjusted after Holm over the pairs of a portion. A pair is resolved "
             "where "
             "that is at most 0.05 and the difference is greater than its own interval of 95 %, "
             "instruments included.",
             columns);
}

std::string heading(const ComparisonResult& comparison, std::size_t columns) {
  std::string text;
  for (std::size_t k = 0; k < comparison.sessions.size(); ++k) {
    const ComparedSession& session = comparison.sessions[k];
    const auto& total = session.result.portions[Portion::kTotal].summary;
    const std::string path = printable(session.path);
    text += wrap(letter(k) + "  " + session.name + (session.name == path ? "" : " (" + path + ")") +
                     ": " + counted(total ? total->n : 0) + " with a total, clock link " +
                     timing::name(session.result.split.clock_link.kind),
                 columns, 3);
  }
  return text;
}

}  // namespace

std::string terminal_comparison(const ComparisonResult& comparison, std::size_t columns) {
  return heading(comparison, columns) + (comparison.sessions.size() == 2
                                             ? pair_report(comparison, columns)
                                             : many_report(comparison, columns));
}

}  // namespace thumblight::report
