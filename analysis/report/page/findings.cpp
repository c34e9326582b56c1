#include "analysis/report/page/findings.hpp"

#include <algorithm>

#include "analysis/report/comparison_words.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/page/plain_name.hpp"
#include "analysis/report/portion_digits.hpp"
#include "analysis/statistics/cycle_fit.hpp"
#include "analysis/statistics/quantile.hpp"

namespace thumblight::report {
namespace {

using statistics::Interval;
using timing::Bounds;
using timing::ClockLinkKind;
using timing::Portion;

std::string mean_words(const PortionResult& portion) {
  return fixed(portion.summary->mean, decimals_of(portion)) + " ms";
}

std::string interval_words(const PortionResult& portion) {
  if (!portion.mean_interval) {
    return portion.summary->n == 1 ? "one press, so no interval" : "no interval known";
  }
  const int decimals = decimals_of(portion);
  return "95 % interval " + fixed(portion.mean_interval->low, decimals) + " to " +
         fixed(portion.mean_interval->high, decimals) + " ms";
}

std::string answer_of_one(const ComparedSession& session) {
  const PortionResult& total = session.result.portions[Portion::kTotal];
  if (!total.summary) {
    return "No total is known: no press was seen with its light.";
  }
  const std::string n = counted(total.summary->n);
  const std::string mean =
      total.summary->n == 1 ? " in the one press seen" : " in the mean of " + n;
  return "From press to light takes " + mean_words(total) + mean + " (" + interval_words(total) +
         ").";
}

using Place = std::size_t;

bool has_total(const ComparedSession& session) {
  return session.result.portions[Portion::kTotal].summary.has_value();
}

double mean_total(const ComparedSession& session) {
  return session.result.portions[Portion::kTotal].summary->mean;
}

bool is_resolved(const ComparisonResult& comparison, Place a, Place b) {
  const auto found = std::find_if(
      comparison.pairs.begin(), comparison.pairs.end(), [&](const PairComparison& pair) {
        return (pair.a == a && pair.b == b) || (pair.a == b && pair.b == a);
      });
  if (found == comparison.pairs.end()) {
    return false;
  }
  const auto& total = found->differences[Portion::kTotal];
  return total && total->verdict && total->verdict->resolved();
}

/// Places of the sessions that have a total, the least mean first.
std::vector<Place> by_total(const std::vector<ComparedSession>& sessions) {
  std::vector<Place> places;
  for (Place k = 0; k < sessions.size(); ++k) {
    if (has_total(sessions[k])) {
      places.push_back(k);
    }
  }
  std::stable_sort(places.begin(), places.end(), [&](Place a, Place b) {
    return mean_total(sessions[a]) < mean_total(sessions[b]);
  });
  return places;
}

std::string named_with_total(const ComparedSession& session) {
  return quoted(session.name) + " (" + mean_words(session.result.portions[Portion::kTotal]) + ")";
}

/// The first few, and how many more.
std::string some_of(const std::vector<std::string>& names) {
  constexpr std::size_t kNamed = 3;
  if (names.size() <= kNamed + 1) {
    return joined(names);
  }
  return joined({names.begin(), names.begin() + kNamed}) + " and " +
         std::to_string(names.size() - kNamed) + " more";
}

std::string answer_of_many(const ComparisonResult& comparison) {
  const std::vector<ComparedSession>& sessions = comparison.sessions;
  const std::vector<Place> order = by_total(sessions);
  if (order.size() < 2) {
    return "Fewer than two of the " + std::to_string(sessions.size()) +
           " set-ups have a total, so nothing says which answers soonest.";
  }
  std::vector<std::string> ties;
  for (auto place = order.begin() + 1; place != order.end(); ++place) {
    if (!is_resolved(comparison, order.front(), *place)) {
      ties.push_back(named_with_total(sessions[*place]));
    }
  }
  const std::string first = named_with_total(sessions[order.front()]);
  const std::string last = named_with_total(sessions[order.back()]);
  if (ties.size() + 1 == order.size()) {
    return "No set-up is shown to answer sooner than another: the least mean is that of " + first +
           ", not told apart from " + some_of(ties) + ".";
  }
  if (order.size() == 2) {
    return first + " answers sooner than " + last + ".";
  }
  return ties.empty() ? first + " answers soonest; the greatest mean is that of " + last + "."
                      : first + " has the least mean, not told apart from " + some_of(ties) + "; " +
                            last + " has the greatest.";
}

std::string probability(double p) {
  return p < 0.001 ? "p < 0.001" : "p = " + fixed(p, p < 0.1 ? 3 : 2);
}

/// How often a press of the soonest set-up is sooner than one of the next.
std::string overlap_words(const ComparisonResult& comparison) {
  const std::vector<Place> order = by_total(comparison.sessions);
  if (order.size() < 2) {
    return "Fewer than two set-ups have presses to be held against each other.";
  }
  const Place soonest = order[0];
  const Place next = order[1];
  for (const PairComparison& pair : comparison.pairs) {
    const bool is_pair = std::minmax(pair.a, pair.b) == std::minmax(soonest, next);
    const auto& total = pair.differences[Portion::kTotal];
    if (!is_pair || !total || !total->samples.a_faster) {
      continue;
    }
    const double as_a = total->samples.a_faster->estimate;
    return "A press of " + quoted(comparison.sessions[soonest].name) + " is sooner than one of " +
           quoted(comparison.sessions[next].name) + " in " +
           fixed(100 * (pair.a == soonest ? as_a : 1 - as_a), 0) + " % of all pairings.";
  }
  return "Too few presses to say how far the set-ups overlap.";
}

/// The value portions that make up the total, if all are known.
std::vector<Portion> summands(const Result& result) {
  std::vector<Portion> portions = {Portion::kDelivery, Portion::kRender, Portion::kScreen};
  if (!result.portions[Portion::kDelivery].summary) {
    portions = {Portion::kRender, Portion::kRemainder};
  }
  const bool known = std::all_of(portions.begin(), portions.end(), [&](Portion portion) {
    return result.portions[portion].summary.has_value();
  });
  return known ? portions : std::vector<Portion>();
}

}  // namespace

std::string portion_words(const PortionResult& portion) {
  if (portion.summary) {
    return mean_words(portion) + " (" + interval_words(portion) + ")";
  }
  if (portion.mean_bounds) {
    return "within " + outward(portion.mean_bounds->low_ms, portion.mean_bounds->high_ms) +
           " ms (bounds)";
  }
  return "not known";
}

std::string answer(const std::vector<ComparedSession>& sessions,
                   const std::optional<ComparisonResult>& comparison) {
  return comparison ? answer_of_many(*comparison) : answer_of_one(sessions.front());
}

std::string why_not_split(const Result& result) {
  if (!result.portions[Portion::kTotal].summary) {
    return "No total is known, since no press was seen together with its light; the warnings say "
           "what to do about it.";
  }
  if (result.portions[Portion::kDelivery].summary) {
    return "";
  }
  switch (result.split.clock_link.kind) {
    case ClockLinkKind::kNone:
      return result.split.flip_how.empty()
                 ? "Only the total is known, since there is no log of the harness to say when the "
                   "event arrived and the frame went out."
                 : "Delivery and screen are not told apart, since nothing ties the clocks of "
                   "recording and host.";
    case ClockLinkKind::kCausality:
      return result.portions[Portion::kDelivery].mean_bounds
                 ? "Nothing measures the offset between the clocks of recording and host, so "
                   "delivery and screen are known within bounds alone: no press comes after its "
                   "arrival, no light before its frame. A lamp on the host or a shared clock "
                   "would tell them apart."
                 : "Nothing measures the offset between the clocks of recording and host, and "
                   "cause and effect set no bounds here, so delivery and screen are not told "
                   "apart.";
    default:
      return "No press is known on both clocks, so delivery and screen are not told apart.";
  }
}

std::string portions_finding(const Result& result) {
  const auto& portions = result.portions;
  const auto words = [&](Portion portion) {
    return std::string(name(portion)) + " " + portion_words(portions[portion]);
  };
  if (portions[Portion::kDelivery].summary || portions[Portion::kDelivery].mean_bounds) {
    return "Delivery " + portion_words(portions[Portion::kDelivery]) + ", " +
           words(Portion::kRender) + ", " + words(Portion::kScreen) + ".";
  }
  if (portions[Portion::kRemainder].summary) {
    return "Render " + portion_words(portions[Portion::kRender]) +
           "; delivery and screen together " + portion_words(portions[Portion::kRemainder]) + ".";
  }
  return "Only the total is known: " + portion_words(portions[Portion::kTotal]) + ".";
}

std::string portions_finding(const std::vector<ComparedSession>& sessions) {
  if (sessions.size() == 1) {
    return portions_finding(sessions.front().result);
  }
  const auto split =
      std::count_if(sessions.begin(), sessions.end(), [](const ComparedSession& session) {
        return session.result.portions[Portion::kDelivery].summary.has_value();
      });
  const std::string all = std::to_string(sessions.size());
  if (static_cast<std::size_t>(split) == sessions.size()) {
    return "All " + all + " set-ups are split into delivery, render and screen.";
  }
  return split == 0 ? "In none of the " + all +
                          " set-ups does the evidence tell delivery and screen apart by itself."
                    : std::to_string(split) + " of the " + all + " set-ups " +
                          (split == 1 ? "is" : "are") +
                          " split into delivery, render and screen; in the others the "
                          "evidence does not tell delivery and screen apart.";
}

std::string largest_finding(const Result& result) {
  const std::vector<Portion> parts = summands(result);
  if (parts.empty()) {
    return "The total is known; what it is made of is not.";
  }
  const Portion largest = *std::max_element(parts.begin(), parts.end(), [&](Portion a, Portion b) {
    return result.portions[a].summary->mean < result.portions[b].summary->mean;
  });
  return largest == Portion::kRemainder
             ? "Delivery and screen together take " +
                   portion_words(result.portions[Portion::kRemainder]) + ", render " +
                   mean_words(result.portions[Portion::kRender]) + "."
             : "The largest mean is that of " + std::string(name(largest)) + ", " +
                   portion_words(result.portions[largest]) + ".";
}

std::string presses_finding(const std::vector<ComparedSession>& sessions) {
  std::size_t presses = 0;
  std::size_t outliers = 0;
  double low = 0;
  double high = 0;
  int decimals = 1;
  for (const ComparedSession& session : sessions) {
    const PortionResult& total = session.result.portions[Portion::kTotal];
    if (!total.summary) {
      continue;
    }
    low = presses == 0 ? total.summary->min : std::min(low, total.summary->min);
    high = presses == 0 ? total.summary->max : std::max(high, total.summary->max);
    decimals = total.value_u_ms ? decimals_for(*total.value_u_ms) : decimals;
    presses += total.summary->n;
    outliers += total.outliers ? total.outliers->outliers.size() : 0;
  }
  if (presses == 0) {
    return "No press has a total.";
  }
  if (presses == 1) {
    return "The one press took " + fixed(low, decimals) + " ms.";
  }
  return "The " + counted(presses) + " took " + fixed(low, decimals) + " to " +
         fixed(high, decimals) + " ms" +
         (outliers == 0 ? "; none stands apart."
                        : "; " + std::to_string(outliers) + (outliers == 1 ? " stands" : " stand") +
                              " apart from the rest.");
}

std::string distribution_finding(const std::vector<ComparedSession>& sessions,
                                 const std::optional<ComparisonResult>& comparison) {
  if (comparison) {
    return overlap_words(*comparison);
  }
  const Result& result = sessions.front().result;
  const PortionResult& total = result.portions[Portion::kTotal];
  if (!total.summary || total.summary->n < 2) {
    return "One press or none has no distribution.";
  }
  const double span_ms = total.summary->p95 - total.summary->p05;
  const int decimals = total.value_u_ms ? decimals_for(*total.value_u_ms) : 1;
  std::string text = "Nine presses in ten lie within " + fixed(span_ms, decimals) + " ms";
  if (const auto refresh = refresh_ms(sessions.front())) {
    text += ", " + fixed(span_ms / *refresh, 1) + " times a refresh of the display";
  } else if (const auto frame = frame_ms(result)) {
    text += ", " + fixed(span_ms / *frame, 1) + " times a frame of the camera";
  }
  return text + ".";
}

std::string course_finding(const Result& result) {
  const std::optional<statistics::Trend>& course = result.portions[Portion::kTotal].course;
  if (!course || !course->slope_interval) {
    return "Too few presses to tell whether the total moves along the session.";
  }
  const Interval& slope = *course->slope_interval;
  const int decimals = decimals_for(slope.half_width());
  const std::string range = fixed(course->slope, decimals) + " ms a press (95 % interval " +
                            fixed(slope.low, decimals) + " to " + fixed(slope.high, decimals) + ")";
  return course->resolved()
             ? "The total moves along the session, by " + range + "."
             : "The total keeps its level along the session, as far as can be told: " + range + ".";
}

std::string phase_finding(const Result& result) {
  const auto& variation = result.split.variation;
  if (!variation) {
    return "";
  }
  std::vector<double> turns;
  std::vector<double> values_ms;
  for (const timing::OffsetFree& press : variation->presses) {
    if (press.submit_turns && press.delivery_ms) {
      turns.push_back(*press.submit_turns);
      values_ms.push_back(*press.delivery_ms);
    }
  }
  if (turns.size() < statistics::kFewestForCycle) {
    return "Too few presses to tell whether delivery goes with the refresh.";
  }
  const auto cycle = statistics::fit_cycle(turns, values_ms, variation->fitted);
  if (!cycle) {
    return "Delivery or the place in the refresh does not vary, so nothing shows whether one goes "
           "with the other.";
  }
  constexpr double kSeen = 0.01;
  return cycle->p <= kSeen ? "Delivery goes with the place in the refresh, by " +
                                 fixed(2 * cycle->amplitude, decimals_for(2 * cycle->amplitude)) +
                                 " ms from crest to trough (" + probability(cycle->p) + ")."
                           : "Delivery is not seen to go with the place in the refresh (" +
                                 probability(cycle->p) + ").";
}

std::optional<double> refresh_ms(const ComparedSession& session) {
  constexpr double kMsPerSecond = 1e3;
  if (session.result.split.refresh) {
    return session.result.split.refresh->grid.period_s * kMsPerSecond;
  }
  if (session.header && session.header->display.refresh_hz.value_or(0) > 0) {
    return kMsPerSecond / *session.header->display.refresh_hz;
  }
  return std::nullopt;
}

std::optional<double> frame_ms(const Result& result) {
  constexpr double kMsPerSecond = 1e3;
  const bool has_images = result.recording.kind == "video" || result.recording.kind == "images";
  const auto& rate_hz = result.recording.clock.rate_hz;
  return has_images && rate_hz && *rate_hz > 0 ? std::optional<double>(kMsPerSecond / *rate_hz)
                                               : std::nullopt;
}

}  // namespace thumblight::report
