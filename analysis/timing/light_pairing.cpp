#include "analysis/timing/light_pairing.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::timing {
namespace {

constexpr std::size_t kFewestPairedLights = 3;
/// A press that arrives later than this after its contact closed is another press.
constexpr double kLatestDeliverySeconds = 1.0;

/// A harness that takes longer than this from arrival to submit is beyond what lights can tell.
constexpr double kLongestRenderSeconds = 1.0;

/// Where a light is expected to be submitted: the trend of the presses, and a constant beside it.
struct LightTrend {
  double beside_s = 0;
  double tolerance_s = 0;
};

class LightPairing {
 public:
  LightPairing(const std::vector<session::Press>& log,
               const std::vector<onset::PressTiming>& recording, const Timebase& base,
               const SpacingFit& fit)
      : log_(log), recording_(recording), base_(base), fit_(fit) {}

  std::optional<LightTrend> learn(const std::vector<Pair>& pairs) const {
    std::vector<double> beside_s;
    for (const Pair& pair : pairs) {
      if (recording_[pair.recorded].light && log_[pair.logged].submit_ns) {
        beside_s.push_back(distance(pair.logged, pair.recorded));
      }
    }
    if (beside_s.size() < kFewestPairedLights) {
      return std::nullopt;
    }
    const double spread_s = robust_sd(beside_s);
    return LightTrend{median(std::move(beside_s)), tolerance_of(spread_s)};
  }

  /// The logged press among [first, end) whose submit fits the light of row `j`; empty where none
  /// or more than one does.
  std::optional<std::size_t> find(std::size_t j, std::size_t first, std::size_t end,
                                  const LightTrend& trend) const {
    if (!recording_[j].light) {
      return std::nullopt;
    }
    const double submit_s = expected_submit(j, trend);
    std::optional<std::size_t> found;
    for (std::size_t i = arriving_after(first, end, submit_s - kLongestRenderSeconds);
         i < end && base_.host(log_[i].arrival_ns) <= submit_s + trend.tolerance_s; ++i) {
      if (fits(i, j, trend)) {
        if (found) {
          return std::nullopt;
        }
        found = i;
      }
    }
    return found;
  }

 private:
  double expected_submit(std::size_t j, const LightTrend& trend) const {
    const double light_s = base_.recording(recording_[j].light->t_s);
    return light_s + fit_.trend.at(light_s) + trend.beside_s;
  }

  /// The first press among [first, end) that arrived at `time_s` or after.
  std::size_t arriving_after(std::size_t first, std::size_t end, double time_s) const {
    const auto at = [this](std::size_t k) { return log_.begin() + static_cast<std::ptrdiff_t>(k); };
    const auto found = std::lower_bound(at(first), at(end), time_s,
                                        [this](const session::Press& press, double t_s) {
                                          return base_.host(press.arrival_ns) < t_s;
                                        });
    return static_cast<std::size_t>(found - log_.begin());
  }

  /// Submit minus light, beside the trend of the presses.
  double distance(std::size_t i, std::size_t j) const {
    const double light_s = base_.recording(recording_[j].light->t_s);
    return base_.host(*log_[i].submit_ns) - light_s - fit_.trend.at(light_s);
  }

  bool fits(std::size_t i, std::size_t j, const LightTrend& trend) const {
    if (!log_[i].flashed || !log_[i].submit_ns) {
      return false;
    }
    return std::abs(distance(i, j) - trend.beside_s) <= trend.tolerance_s && may_deliver(i, j);
  }

  bool may_deliver(std::size_t i, std::size_t j) const {
    if (!recording_[j].press) {
      return true;
    }
    const double press_s = base_.recording(recording_[j].press->t_s);
    const double late_s = base_.host(log_[i].arrival_ns) - press_s - fit_.trend.at(press_s);
    return late_s >= -fit_.tolerance_s && late_s <= kLatestDeliverySeconds;
  }

  const std::vector<session::Press>& log_;
  const std::vector<onset::PressTiming>& recording_;
  const Timebase& base_;
  const SpacingFit& fit_;
};

/// Pairs the rows and the logged presses from `first` up to, not including, those of `end`.
void pair_between(const LightPairing& lights, const LightTrend& trend, const Pair& first,
                  const Pair& end, std::vector<Pair>& added) {
  std::size_t next = first.logged;
  for (std::size_t j = first.recorded; j < end.recorded; ++j) {
    if (const std::optional<std::size_t> i = lights.find(j, next, end.logged, trend)) {
      added.push_back({*i, j, PairedBy::kLight});
      next = *i + 1;
    }
  }
}

}  // namespace

void add_pairs_by_light(const std::vector<session::Press>& log,
                        const std::vector<onset::PressTiming>& recording, const Timebase& base,
                        const SpacingFit& fit, std::vector<Pair>& pairs) {
  const LightPairing lights(log, recording, base, fit);
  const std::optional<LightTrend> trend = lights.learn(pairs);
  if (!trend) {
    return;
  }
  std::vector<Pair> added;
  Pair first;
  for (const Pair& pair : pairs) {
    pair_between(lights, *trend, first, pair, added);
    first = {pair.logged + 1, pair.recorded + 1};
  }
  pair_between(lights, *trend, first, {log.size(), recording.size()}, added);
  pairs.insert(pairs.end(), added.begin(), added.end());
  std::sort(pairs.begin(), pairs.end(),
            [](const Pair& a, const Pair& b) { return a.recorded < b.recorded; });
}

}  // namespace thumblight::timing
