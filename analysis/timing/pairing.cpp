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
  const SpacingFit fit = fit_spacing(arrivals_of(log, base), presses_s, limits);
  Pairing pairing;
  pairing.certainty = fit.certainty;
  if (!is_settled(fit.certainty)) {
    return pairing;
  }
  for (const Match& match : fit.matches) {
    pairing.pairs.push_back({match.logged, rows[match.recorded], PairedBy::kPress});
  }
  add_pairs_by_light(log, recording, base, fit, pairing.pairs);
  return pairing;
}

}  // namespace thumblight::timing
