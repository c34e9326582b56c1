#include "analysis/report/ranking.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <deque>

#include "analysis/report/shared_parts.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/mean_difference.hpp"
#include "analysis/statistics/multiple_tests.hpp"

namespace thumblight::report {
namespace {

using statistics::WelchError;
using timing::Bounds;
using timing::Portion;

/// A pair whose difference is greater than its own interval, and the probability that is still to
/// be adjusted; without one where there is no scatter to test against.
struct Judged {
  double difference_ms = 0;  ///< A less B; of bounds, the gap between them
  bool beyond_interval = false;
  std::optional<double> p;
};

struct Gap {
  double difference_ms = 0;
  WelchError scatter{0, std::nullopt};
  double instrument_variance = 0;
  bool stated = true;  ///< something says how far the means may be off
};

Judged judge(const Gap& gap, double level) {
  Judged judged;
  judged.difference_ms = gap.difference_ms;
  const double resolution_ms =
      statistics::normal_quantile(0.5 + level / 2) * std::sqrt(gap.instrument_variance);
  const double beyond = gap.difference_ms * gap.difference_ms - resolution_ms * resolution_ms;
  if (!gap.scatter.dof) {
    judged.beyond_interval = beyond > 0 && (gap.stated || resolution_ms > 0);
    return judged;
  }
  const double error = gap.scatter.standard_error;
  judged.p = statistics::student_two_sided_p(gap.difference_ms / error, *gap.scatter.dof);
  // The difference is greater than the root sum of squares of both half-widths just where what it
  // has beyond the instruments' is improbable for scatter alone: no quantile need be found.
  judged.beyond_interval =
      beyond > 0 &&
      statistics::student_two_sided_p(std::sqrt(beyond) / error, *gap.scatter.dof) < 1 - level;
  return judged;
}

double shared_variance(const Result& a, const Result& b, Portion portion) {
  double variance = 0;
  for (const SharedPart& part : shared_parts(a, b, portion)) {
    variance += part.u_ms * part.u_ms;
  }
  return variance;
}

double own_variance(const Result& result, Portion portion) {
  double variance = unseen_variance(result.portions[portion]);
  for (const timing::SharedError& error : result.split.shared[portion]) {
    variance += error.u_ms * error.u_ms;
  }
  return variance;
}

std::optional<Gap> gap_of_means(const Result& a, const Result& b, Portion portion) {
  const PortionResult& of_a = a.portions[portion];
  const PortionResult& of_b = b.portions[portion];
  if (!of_a.summary->sd || !of_b.summary->sd) {
    return std::nullopt;
  }
  Gap gap;
  gap.difference_ms = of_a.summary->mean - of_b.summary->mean;
  gap.scatter = statistics::welch_error({of_a.summary->n, *of_a.summary->sd},
                                        {of_b.summary->n, *of_b.summary->sd});
  gap.instrument_variance =
      shared_variance(a, b, portion) + unseen_variance(of_a) + unseen_variance(of_b);
  gap.stated = of_a.value_u_ms && of_b.value_u_ms;
  return gap;
}

/// How far `value` lies above the bounds; negative below, 0 within.
double beyond(double value, const Bounds& bounds) {
  return value > bounds.high_ms ? value - bounds.high_ms : std::min(0.0, value - bounds.low_ms);
}

std::optional<Gap> gap_to_bounds(const Result& a, const Bounds& bounds, Portion portion) {
  const PortionResult& of_a = a.portions[portion];
  if (!of_a.summary->sd) {
    return std::nullopt;
  }
  const auto n = static_cast<double>(of_a.summary->n);
  Gap gap;
  gap.difference_ms = beyond(of_a.summary->mean, bounds);
  if (*of_a.summary->sd > 0) {
    gap.scatter = {*of_a.summary->sd / std::sqrt(n), n - 1};
  }
  gap.instrument_variance = own_variance(a, portion);
  gap.stated = of_a.value_u_ms.has_value();
  return gap;
}

std::optional<Judged> judge_bounds(const Bounds& a, const Bounds& b) {
  const double gap =
      a.low_ms > b.high_ms ? a.low_ms - b.high_ms : std::min(0.0, a.high_ms - b.low_ms);
  return Judged{gap, gap != 0, std::nullopt};
}

std::optional<Judged> judged(const std::optional<Gap>& gap, double level) {
  return gap ? std::optional<Judged>(judge(*gap, level)) : std::nullopt;
}

std::optional<Judged> judge_pair(const Result& a, const Result& b, Portion portion, double level) {
  const PortionResult& of_a = a.portions[portion];
  const PortionResult& of_b = b.portions[portion];
  if (of_a.summary && of_b.summary) {
    return judged(gap_of_means(a, b, portion), level);
  }
  if (of_a.summary) {
    return judged(gap_to_bounds(a, *of_b.mean_bounds, portion), level);
  }
  if (of_b.summary) {
    std::optional<Judged> found = judged(gap_to_bounds(b, *of_a.mean_bounds, portion), level);
    if (found) {
      found->difference_ms = -found->difference_ms;
    }
    return found;
  }
  return judge_bounds(*of_a.mean_bounds, *of_b.mean_bounds);
}

/// A pair of which Holm's adjustment has to tell, as small as can be: there are many.
struct Candidate {
  double p = 0;
  std::uint32_t sooner = 0;
  std::uint32_t later = 0;
  bool beyond_interval = false;
};

void note(RankRange& sooner, RankRange& later) {
  --sooner.worst;
  ++later.best;
}

std::vector<std::size_t> known(const std::vector<ComparedSession>& sessions, Portion portion) {
  std::vector<std::size_t> places;
  for (std::size_t k = 0; k < sessions.size(); ++k) {
    const PortionResult& found = sessions[k].result.portions[portion];
    if (found.summary || found.mean_bounds) {
      places.push_back(k);
    }
  }
  return places;
}

/// The pairs of one campaign. Those whose probability is too great before any adjustment are only
/// counted.
class Pairs {
 public:
  Pairs(std::vector<std::optional<RankRange>>& ranks, double level)
      : ranks_(ranks), greatest_p_(1 - level) {}

  void add(std::size_t a, std::size_t b, const Judged& pair) {
    const bool a_sooner = pair.difference_ms < 0;
    const std::size_t sooner = a_sooner ? a : b;
    const std::size_t later = a_sooner ? b : a;
    tested_ += pair.p ? 1 : 0;
    if (pair.p && *pair.p <= greatest_p_) {
      candidates_.push_back({*pair.p, static_cast<std::uint32_t>(sooner),
                             static_cast<std::uint32_t>(later), pair.beyond_interval});
    } else if (!pair.p && pair.beyond_interval) {
      note(*ranks_[sooner], *ranks_[later]);
    }
  }

  void settle() {
    std::sort(candidates_.begin(), candidates_.end(),
              [](const Candidate& a, const Candidate& b) { return a.p < b.p; });
    statistics::HolmSteps steps(tested_);
    for (const Candidate& pair : candidates_) {
      if (steps.next(pair.p) <= greatest_p_ && pair.beyond_interval) {
        note(*ranks_[pair.sooner], *ranks_[pair.later]);
      }
    }
  }

 private:
  std::vector<std::optional<RankRange>>& ranks_;
  double greatest_p_;
  std::size_t tested_ = 0;
  std::deque<Candidate> candidates_;  // grows without being copied
};

}  // namespace

std::vector<std::optional<RankRange>> rank_sessions(const std::vector<ComparedSession>& sessions,
                                                    Portion portion, double level) {
  std::vector<std::optional<RankRange>> ranks(sessions.size());
  const std::vector<std::size_t> places = known(sessions, portion);
  for (const std::size_t place : places) {
    ranks[place] = RankRange{1, places.size()};
  }
  Pairs pairs(ranks, level);
  for (std::size_t i = 0; i < places.size(); ++i) {
    for (std::size_t j = i + 1; j < places.size(); ++j) {
      const std::size_t a = places[i];
      const std::size_t b = places[j];
      if (const auto judged = judge_pair(sessions[a].result, sessions[b].result, portion, level)) {
        pairs.add(a, b, *judged);
      }
    }
  }
  pairs.settle();
  return ranks;
}

}  // namespace thumblight::report
