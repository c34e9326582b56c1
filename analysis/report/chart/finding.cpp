#include "analysis/report/chart/finding.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "analysis/report/chart/chart_text.hpp"
#include "analysis/report/chart/charted.hpp"
#include "analysis/report/numbers.hpp"

namespace thumblight::report::chart {
namespace {

using timing::Portion;

/// A name within a sentence: short enough that the sentence is read.
std::string called(const ChartedSetUp& set_up) {
  constexpr double kMostWidth = 26;  // of a font of one pixel: some forty letters
  return isolated(shortened(set_up.name, kMostWidth, 1));
}

/// A number and what belongs to it on one line.
std::string unbroken(std::string text) {
  for (std::size_t at = text.find(' '); at != std::string::npos; at = text.find(' ', at)) {
    text.replace(at, 1, "\u00A0");
  }
  return text;
}

std::string ms(const std::string& number) {
  return unbroken(number + " ms");
}

std::string ms(const ChartedMean& mean) {
  return ms(value_text(mean));
}

/// The places of those whose total is known, the soonest first.
std::vector<std::size_t> by_total(const std::vector<ChartedSetUp>& set_ups) {
  std::vector<std::size_t> order;
  for (std::size_t k = 0; k < set_ups.size(); ++k) {
    if (set_ups[k].total()) {
      order.push_back(k);
    }
  }
  std::stable_sort(order.begin(), order.end(), [&set_ups](std::size_t a, std::size_t b) {
    return set_ups[a].total()->mean_ms < set_ups[b].total()->mean_ms;
  });
  return order;
}

const PortionDifference* total_of(const ComparisonResult& comparison, std::size_t a,
                                  std::size_t b) {
  for (const PairComparison& pair : comparison.pairs) {
    if ((pair.a == a && pair.b == b) || (pair.a == b && pair.b == a)) {
      const std::optional<PortionDifference>& total = pair.differences[Portion::kTotal];
      return total ? &*total : nullptr;
    }
  }
  return nullptr;
}

bool is_resolved(const PortionDifference* difference) {
  return difference != nullptr && difference->verdict && difference->verdict->resolved();
}

std::string size_of(const PortionDifference& difference) {
  const double size_ms = std::abs(difference.difference_ms);
  const std::optional<statistics::Interval> interval = difference.interval();
  if (!interval) {
    return ms(fixed(size_ms, 1));
  }
  const int decimals = decimals_for(interval->half_width());
  return ms(fixed(size_ms, decimals) + " \u00B1 " + fixed(interval->half_width(), decimals));
}

std::string of_two(const ComparisonResult& comparison, const std::vector<ChartedSetUp>& set_ups,
                   std::size_t sooner, std::size_t later) {
  const PortionDifference* difference = total_of(comparison, sooner, later);
  const std::string a = called(set_ups[sooner]);
  const std::string b = called(set_ups[later]);
  if (is_resolved(difference)) {
    return a + " answers " + size_of(*difference) + " sooner than " + b;
  }
  const std::string seen =
      difference != nullptr && difference->interval() ? " (" + size_of(*difference) + ")" : "";
  return "Not told apart: " + a + " and " + b + seen;
}

/// Whether two sessions are of one set-up, as far as their labels tell.
bool is_repeat(const ComparisonResult& comparison, std::size_t a, std::size_t b) {
  const auto& labels = comparison.sessions[a].result.labels;
  return !labels.empty() && labels == comparison.sessions[b].result.labels;
}

std::string of_many(const ComparisonResult& comparison, const std::vector<ChartedSetUp>& set_ups,
                    const std::vector<std::size_t>& order) {
  std::vector<std::size_t> open;
  for (std::size_t k = 1; k < order.size(); ++k) {
    if (!is_repeat(comparison, order.front(), order[k]) &&
        !is_resolved(total_of(comparison, order.front(), order[k]))) {
      open.push_back(order[k]);
    }
  }
  const ChartedSetUp& best = set_ups[order.front()];
  if (open.size() + 1 == order.size()) {
    return "None of the " + std::to_string(order.size()) + " set-ups is told apart from " +
           called(best) + " (" + ms(*best.total()) + "), the soonest here";
  }
  const std::string text = called(best) + " answers soonest, " + ms(*best.total());
  if (open.size() == 1) {
    return text + "; " + called(set_ups[open.front()]) + " may be as quick";
  }
  if (!open.empty()) {
    return text + "; " + std::to_string(open.size()) + " others may be as quick";
  }
  const ChartedSetUp& last = set_ups[order.back()];
  return text + "; " + called(last) + " takes " + ms(*last.total());
}

std::string_view owner(Portion portion) {
  switch (portion) {
    case Portion::kDelivery:
      return "delivery";
    case Portion::kRender:
      return "the program and its wait for the refresh";
    default:
      return "the screen";
  }
}

constexpr std::array kParts = {Portion::kDelivery, Portion::kRender, Portion::kScreen};

/// Where most of the time goes; empty where nothing tells.
std::string greatest_part(const ChartedSetUp& set_up) {
  const double half_ms = set_up.total()->mean_ms / 2;
  bool all_known = true;
  for (const Portion portion : kParts) {
    const ChartedPortion& part = set_up.portions[portion];
    all_known = all_known && part.mean;
    if (part.mean && part.mean->mean_ms > half_ms) {
      return "; most of it, " + ms(*part.mean) + ", is " + std::string(owner(portion));
    }
    if (part.bounds_ms && part.bounds_ms->low_ms > half_ms) {
      return "; most of it, " + ms(value_text(*part.bounds_ms)) + ", is " +
             std::string(owner(portion));
    }
  }
  if (!all_known) {
    return "";
  }
  const auto mean_of = [&set_up](Portion portion) {
    return set_up.portions[portion].mean->mean_ms;
  };
  const Portion greatest =
      *std::max_element(kParts.begin(), kParts.end(),
                        [&mean_of](Portion a, Portion b) { return mean_of(a) < mean_of(b); });
  return "; the greatest part, " + ms(*set_up.portions[greatest].mean) + ", is " +
         std::string(owner(greatest));
}

std::string scatter(const ChartedMean& total) {
  const std::string spread = total.sd_ms ? fixed(*total.sd_ms, decimals_for(*total.sd_ms)) : "";
  return spread.empty() ? "" : "; single presses vary by " + ms(spread) + " (SD)";
}

/// Below twenty presses the 95th percentile is but the latest of them.
std::string quantiles(const ChartedPortion& total) {
  constexpr std::size_t kPressesForTails = 20;
  const ChartedMean& mean = *total.mean;
  const std::string half =
      "Half of the presses are answered within " + ms(fixed(mean.median_ms, 1));
  if (mean.n >= kPressesForTails) {
    return half + ", 95\u00A0% within " + ms(fixed(mean.p95_ms, 1));
  }
  const double latest_ms = *std::max_element(total.values_ms.begin(), total.values_ms.end());
  return half + ", all " + std::to_string(mean.n) + " within " + ms(fixed(latest_ms, 1));
}

}  // namespace

std::string finding(const ComparisonResult& comparison) {
  const std::vector<ChartedSetUp> set_ups = charted(comparison);
  const std::vector<std::size_t> order = by_total(set_ups);
  if (order.empty()) {
    return "No total is known of any set-up";
  }
  if (order.size() == 1) {
    return called(set_ups[order[0]]) + " takes " + ms(*set_ups[order[0]].total()) +
           "; no total is known of the others";
  }
  return order.size() == 2 ? of_two(comparison, set_ups, order[0], order[1])
                           : of_many(comparison, set_ups, order);
}

std::string finding(const Result& result, ChartKind kind) {
  const ChartedSetUp set_up = charted(result, "");
  const ChartedMean& total = *set_up.total();
  if (total.n == 1) {
    return "One press: " + ms(total) + " from button to light";
  }
  if (kind == ChartKind::kDistribution) {
    return quantiles(set_up.portions[Portion::kTotal]);
  }
  return "From button to light it takes " + ms(total) +
         (kind == ChartKind::kBars ? greatest_part(set_up) : scatter(total));
}

}  // namespace thumblight::report::chart
