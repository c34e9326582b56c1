#include "analysis/report/comparison.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/report/same_screen.hpp"
#include "analysis/report/session_names.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/moments.hpp"
#include "analysis/statistics/multiple_tests.hpp"
#include "harness/session/error.hpp"

namespace thumblight::report {
namespace {

using timing::Bounds;
using timing::Portion;

/// To the nanosecond: what is equal but for binary arithmetic must be a tie of ranks.
std::vector<double> values_of(const Result& result, Portion portion) {
  std::vector<double> values_ms;
  for (const timing::PressSplit& press : result.split.presses) {
    if (press.portions_ms[portion] && !press.left_out) {
      values_ms.push_back(std::round(*press.portions_ms[portion] * 1e6) / 1e6);
    }
  }
  return values_ms;
}

/// Half-width, at the level, of all that is not in the presses' scatter.
double resolution_ms(const PortionDifference& difference, double level) {
  double variance = difference.unseen_u_ms * difference.unseen_u_ms;
  for (const SharedPart& part : difference.shared) {
    variance += part.u_ms * part.u_ms;
  }
  return statistics::normal_quantile(0.5 + level / 2) * std::sqrt(variance);
}

bool nothing_says_how_sure(const PortionDifference& difference, double resolution) {
  return difference.samples.means && difference.samples.means->standard_error <= 0 &&
         resolution <= 0 && !difference.instants_stated;
}

void judge_difference(PortionDifference& difference, double level) {
  const double resolution = resolution_ms(difference, level);
  if (!nothing_says_how_sure(difference, resolution)) {
    difference.verdict =
        statistics::judge(difference.samples.means, resolution, difference.adjusted_p, level);
  }
}

std::optional<PortionDifference> difference_of(const Result& a, const Result& b, Portion portion,
                                               double level) {
  const std::vector<double> of_a = values_of(a, portion);
  const std::vector<double> of_b = values_of(b, portion);
  if (of_a.empty() || of_b.empty()) {
    return std::nullopt;
  }
  const PortionResult& portion_a = a.portions[portion];
  const PortionResult& portion_b = b.portions[portion];
  PortionDifference difference;
  difference.n_a = of_a.size();
  difference.n_b = of_b.size();
  difference.difference_ms = *statistics::moments(of_a).mean() - *statistics::moments(of_b).mean();
  difference.sd_a_ms = statistics::moments(of_a).sd();
  difference.sd_b_ms = statistics::moments(of_b).sd();
  difference.samples = statistics::compare(of_a, of_b, level);
  if (of_a.size() < 2 || of_b.size() < 2) {
    difference.samples.spread.reset();  // one press has no spread to be tested
  }
  difference.shared = shared_parts(a, b, portion);
  difference.unseen_u_ms = std::sqrt(unseen_variance(portion_a) + unseen_variance(portion_b));
  difference.instants_stated = portion_a.value_u_ms && portion_b.value_u_ms;
  return difference;
}

/// Where the mean lies: within its bounds, else within its interval.
std::optional<Bounds> reach_of(const PortionResult& portion) {
  if (portion.summary && portion.budget) {
    return Bounds{portion.summary->mean - portion.budget->expanded,
                  portion.summary->mean + portion.budget->expanded};
  }
  return portion.summary ? std::nullopt : portion.mean_bounds;
}

std::optional<Bounds> bounds_of_difference(const PortionResult& a, const PortionResult& b) {
  const std::optional<Bounds> of_a = reach_of(a);
  const std::optional<Bounds> of_b = reach_of(b);
  if (!of_a || !of_b || (a.summary && b.summary)) {
    return std::nullopt;
  }
  return Bounds{of_a->low_ms - of_b->high_ms, of_a->high_ms - of_b->low_ms};
}

bool same_criterion(const onset::RecordingInfo& a, const onset::RecordingInfo& b) {
  return !a.light || !b.light || a.light->threshold == b.light->threshold;
}

PairComparison compare_pair(const std::vector<ComparedSession>& sessions, std::size_t a,
                            std::size_t b, double level) {
  const ComparedSession& of_a = sessions[a];
  const ComparedSession& of_b = sessions[b];
  PairComparison pair;
  pair.a = a;
  pair.b = b;
  for (const Portion portion : timing::kPortions) {
    pair.differences[portion] = difference_of(of_a.result, of_b.result, portion, level);
    pair.bounds_ms[portion] =
        bounds_of_difference(of_a.result.portions[portion], of_b.result.portions[portion]);
  }
  pair.same_criterion = same_criterion(of_a.result.recording, of_b.result.recording);
  pair.screen_differences = screen_differences(of_a.header, of_a.result, of_b.header, of_b.result);
  return pair;
}

/// Holm over the pairs in which this portion has a probability.
void adjust(std::vector<PairComparison>& pairs, Portion portion) {
  std::vector<PortionDifference*> tested;
  std::vector<double> p_values;
  for (PairComparison& pair : pairs) {
    std::optional<PortionDifference>& difference = pair.differences[portion];
    if (difference && difference->samples.means && difference->samples.means->p) {
      tested.push_back(&*difference);
      p_values.push_back(*difference->samples.means->p);
    }
  }
  const std::vector<double> adjusted = statistics::holm_adjusted(p_values);
  for (std::size_t k = 0; k < tested.size(); ++k) {
    tested[k]->adjusted_p = adjusted[k];
  }
}

void judge_all(ComparisonResult& comparison) {
  for (const Portion portion : timing::kPortions) {
    if (comparison.pairs.size() > 1) {
      adjust(comparison.pairs, portion);
    }
    for (PairComparison& pair : comparison.pairs) {
      if (pair.differences[portion]) {
        judge_difference(*pair.differences[portion], comparison.level);
      }
    }
  }
}

}  // namespace

std::optional<statistics::Interval> PortionDifference::interval() const {
  if (!verdict || !verdict->uncertainty_ms) {
    return std::nullopt;
  }
  return statistics::Interval{difference_ms - *verdict->uncertainty_ms,
                              difference_ms + *verdict->uncertainty_ms, verdict->level};
}

const PortionDifference* PairComparison::delivery_by_remainder() const {
  const std::optional<PortionDifference>& remainder = differences[Portion::kRemainder];
  return screen_differences.empty() && remainder ? &*remainder : nullptr;
}

ComparisonResult compare_sessions(std::vector<ComparedSession> sessions) {
  if (sessions.size() < 2) {
    throw Error("a comparison is of two sessions or more");
  }
  ComparisonResult comparison;
  comparison.sessions = std::move(sessions);
  name_sessions(comparison.sessions);
  for (std::size_t a = 0; a < comparison.sessions.size(); ++a) {
    for (std::size_t b = a + 1; b < comparison.sessions.size(); ++b) {
      comparison.pairs.push_back(compare_pair(comparison.sessions, a, b, comparison.level));
    }
  }
  judge_all(comparison);
  comparison.screens = share_screens(comparison.sessions);
  return comparison;
}

std::string letter(std::size_t place) {
  std::string text(1, static_cast<char>('A' + place % 26));
  return place < 26 ? text : letter(place / 26 - 1) + text;
}

}  // namespace thumblight::report
