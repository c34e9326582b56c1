#include "analysis/timing/pairing.hpp"

#include <algorithm>

#include "analysis/timing/light_pairing.hpp"
#include "harness/session/error.hpp"

namespace thumblight::timing {
namespace {

std::vector<double> arrivals_of(const std::vector<session::Press>& log, const Timebase& base) {
  std::vector<double> arrivals_s;
  arrivals_s.reserve(log.size());
  for (const session::Press& press : log) {
    arrivals_s.push_back(base.host(press.arrival_ns));
    if (arrivals_s.size() > 1 && arrivals_s.back() < arrivals_s[arrivals_s.size() - 2]) {
      throw Error("the session log: press " + std::to_string(press.index) +
                  " arrived before the press above it; a log is in order of arrival, so look at "
                  "whether it has been changed");
    }
  }
  return arrivals_s;
}

/// The rows whose press was seen.
std::vector<std::size_t> rows_with_press(const std::vector<onset::PressTiming>& recording) {
  std::vector<std::size_t> rows;
  for (std::size_t j = 0; j < recording.size(); ++j) {
    if (recording[j].press) {
      rows.push_back(j);
    }
  }
  return rows;
}

bool is_settled(Certainty certainty) {
  return certainty == Certainty::kClear || certainty == Certainty::kUnchecked;
}

/// How far from the trend of the others a press that is left alone beside an arrival may lie: a
/// game that looks at its input once a frame spreads what it sees over two frames at the most.
constexpr OffsetRange kAboutTheTrend = {-0.035, 0.035};

/// Whether the press and the arrival may be one.
bool may_be_one(double arrival_s, double press_s, const Trend& trend, const SpacingLimits& limits) {
  const auto within = [](double value, const OffsetRange& range) {
    return value >= range.low_s && value <= range.high_s;
  };
  const double late_s = arrival_s - press_s;
  return limits.offset_s ? within(late_s, *limits.offset_s)
                         : within(late_s - trend.at(press_s), kAboutTheTrend);
}

/// Pairs the one press and the one arrival that are left between two pairs, if they may be one.
void add_pairs_by_order(const std::vector<double>& arrivals_s,
                        const std::vector<onset::PressTiming>& recording, const Timebase& base,
                        const Trend& trend, const SpacingLimits& limits, std::vector<Pair>& pairs) {
  std::vector<Pair> added;
  Pair first;
  const auto look_before = [&](const Pair& next) {
    const bool one_each = next.logged == first.logged + 1 && next.recorded == first.recorded + 1;
    const onset::PressTiming* seen = one_each ? &recording[first.recorded] : nullptr;
    if (seen != nullptr && seen->press &&
        may_be_one(arrivals_s[first.logged], base.recording(seen->press->t_s), trend, limits)) {
      added.push_back({first.logged, first.recorded, PairedBy::kOrder});
    }
    first = {next.logged + 1, next.recorded + 1};
  };
  for (const Pair& pair : pairs) {
    look_before(pair);
  }
  look_before({arrivals_s.size(), recording.size()});
  pairs.insert(pairs.end(), added.begin(), added.end());
  std::sort(pairs.begin(), pairs.end(),
            [](const Pair& a, const Pair& b) { return a.recorded < b.recorded; });
}

}  // namespace

Pairing pair_presses(const std::vector<session::Press>& log,
                     const std::vector<onset::PressTiming>& recording, const Timebase& base,
                     const SpacingLimits& limits) {
  const std::vector<std::size_t> rows = rows_with_press(recording);
  std::vector<double> presses_s;
  presses_s.reserve(rows.size());
  for (const std::size_t row : rows) {
    presses_s.push_back(base.recording(recording[row].press->t_s));
  }
  const std::vector<double> arrivals_s = arrivals_of(log, base);
  const SpacingFit fit = fit_spacing(arrivals_s, presses_s, limits);
  Pairing pairing;
  pairing.certainty = fit.certainty;
  if (!is_settled(fit.certainty)) {
    return pairing;
  }
  for (const Match& match : fit.matches) {
    pairing.pairs.push_back({match.logged, rows[match.recorded], PairedBy::kPress});
  }
  add_pairs_by_light(log, recording, base, fit, pairing.pairs);
  add_pairs_by_order(arrivals_s, recording, base, fit.trend, limits, pairing.pairs);
  return pairing;
}

}  // namespace thumblight::timing
