#include "analysis/rehearsal/finger_motion.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace thumblight::rehearsal {

namespace {

constexpr double kLiftLeadSeconds = 0.010;  ///< the finger lifts before the contact opens ...
constexpr double kLiftEndSeconds = 0.040;   ///< ... and is up this long after

}  // namespace

FingerMotion::FingerMotion(const std::vector<PressTruth>& presses) {
  for (std::size_t k = 0; k < presses.size(); ++k) {
    const PressTruth& press = presses[k];
    const double down_s = press.finger_end.bench_s;
    const double next_s = k + 1 < presses.size() ? presses[k + 1].finger_start.bench_s : 1e12;
    const double release_s = press.release.bench_s;
    moves_.push_back({press.finger_start.bench_s, down_s, true});
    moves_.push_back({std::max(down_s, release_s - kLiftLeadSeconds),
                      std::min(release_s + kLiftEndSeconds, next_s), false});
  }
}

double FingerMotion::position(double bench_s) const {
  const auto later =
      std::upper_bound(moves_.begin(), moves_.end(), bench_s,
                       [](double value, const Move& move) { return value < move.start_s; });
  if (later == moves_.begin()) {
    return 0.0;
  }
  const Move& move = *std::prev(later);
  if (bench_s >= move.end_s) {
    return move.down ? 1.0 : 0.0;
  }
  const double share = (bench_s - move.start_s) / (move.end_s - move.start_s);
  const double way = 0.5 * (1.0 - std::cos(std::numbers::pi * share));
  return move.down ? way : 1.0 - way;
}

}  // namespace thumblight::rehearsal
