#include "analysis/report/comparison_words.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/page/page_data.hpp"
#include "analysis/report/page/plain_name.hpp"

namespace thumblight::report {
namespace {

using timing::Bounds;
using timing::Portion;

int decimals_of(const PortionDifference& difference) {
  const bool known = difference.verdict && difference.verdict->uncertainty_ms &&
                     *difference.verdict->uncertainty_ms > 0;
  return known ? decimals_for(*difference.verdict->uncertainty_ms) : 1;
}

const char* verdict_word(const PortionDifference& difference) {
  if (!difference.verdict ||
      difference.verdict->reason == statistics::VerdictReason::kTooFewPresses) {
    return "too few presses";
  }
  return difference.verdict->resolved() ? "resolved" : "open";
}

PageJson difference_cells(const PairComparison& pair, Portion portion) {
  if (const std::optional<PortionDifference>& found = pair.differences[portion]) {
    const auto interval = found->interval();
    const int decimals = decimals_of(*found);
    return {fixed(found->difference_ms, decimals),
            interval ? fixed(interval->low, decimals) + " to " + fixed(interval->high, decimals)
                     : "not known",
            verdict_word(*found)};
  }
  if (const std::optional<Bounds>& bounds = pair.bounds_ms[portion]) {
    return {"not known", "within " + outward(bounds->low_ms, bounds->high_ms), "bounds"};
  }
  return {"not known", "not known", "not known of both"};
}

PageJson pair_document(const ComparisonResult& comparison, const PairComparison& pair) {
  const std::string a = quoted(comparison.sessions[pair.a].name);
  const std::string b = quoted(comparison.sessions[pair.b].name);
  const std::optional<PortionDifference>& total = pair.differences[Portion::kTotal];
  PageJson rows = PageJson::array();
  for (const Portion portion : timing::kPortions) {
    PageJson cells = {name(portion)};
    for (const PageJson& cell : difference_cells(pair, portion)) {
      cells.push_back(cell);
    }
    rows.push_back(cells);
  }
  std::vector<std::string> sentences = {
      total ? "Total: " + verdict_sentence(*total, a, b)
            : "The total is not known of both, so nothing says which answers sooner."};
  const std::string delivery = delivery_sentence(pair, a, b);
  if (!delivery.empty()) {
    sentences.push_back(delivery);
  }
  if (!pair.same_criterion) {
    sentences.emplace_back(
        "Light counts from another share of the step in one than in the other: totals are compared "
        "as they stand.");
  }
  return {{"a", pair.a}, {"b", pair.b}, {"sentences", sentences}, {"rows", rows}};
}

std::string names_of(const std::vector<std::size_t>& places, const ComparisonResult& comparison) {
  std::vector<std::string> names;
  names.reserve(places.size());
  for (const std::size_t place : places) {
    names.push_back(quoted(comparison.sessions[place].name));
  }
  return joined(names);
}

std::string carry_over_words(const ComparisonResult& comparison, const ScreenGroup& group) {
  if (group.contradiction) {
    return "Nothing is carried over among " + names_of(group.sessions, comparison) +
           ": the screen portions of " +
           quoted(comparison.sessions[group.contradiction->first].name) + " and " +
           quoted(comparison.sessions[group.contradiction->second].name) +
           " cannot have the same mean, although the logs agree. Something else differs between "
           "them.";
  }
  if (!group.screen || group.carried.empty()) {
    return "";
  }
  return "Supposing that the screen portion is the same in " +
         names_of(group.sessions, comparison) + ", as their logs allow, its mean lies within " +
         outward(group.screen->mean_ms.low_ms, group.screen->mean_ms.high_ms) +
         " ms; the bounds shown use that.";
}

}  // namespace

PageJson page_comparison(const ComparisonResult& comparison) {
  PageJson pairs = PageJson::array();
  for (const PairComparison& pair : comparison.pairs) {
    pairs.push_back(pair_document(comparison, pair));
  }
  PageJson notes = PageJson::array();
  for (const ScreenGroup& group : comparison.screens) {
    const std::string words = carry_over_words(comparison, group);
    if (!words.empty()) {
      notes.push_back(words);
    }
  }
  return {{"pairs", pairs}, {"notes", notes}};
}

}  // namespace thumblight::report
