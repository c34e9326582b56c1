#include "analysis/onset/model_summit.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <future>
#include <utility>

#include "analysis/onset/model_starts.hpp"

namespace thumblight::onset {
namespace {

/// A model and the logarithm of its likelihood.
using Valued = std::pair<double, ModelPoint>;

Valued better(const Valued& one, const Valued& other) {
  return other.first > one.first ? other : one;
}

/// The light's places lie at most this far from the centre.
double reach_of(const std::vector<FilmedStep>& light) {
  double reach_px = 1;
  for (const FilmedStep& step : light) {
    for (const PlaceSeries& place : step.places) {
      reach_px = std::max({reach_px, std::abs(place.x_px), std::abs(place.y_px)});
    }
  }
  return reach_px;
}

/// Looks for the summit with few steps, to be quick, first on smooth ground: where half-lit levels
/// may err by much, a climb does not get stuck on ridges that few levels make.
class Ascent {
 public:
  Ascent(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
         const ModelClimber& fine, const ModelSearch& search)
      : light_(light),
        search_(search),
        reach_px_(reach_of(light)),
        smooth_(light, lamp, forgiving(search), kCoarseness),
        rough_(light, lamp, search, kCoarseness),
        fine_(fine) {}

  /// The best of several climbs, since exposure and rise trade against each other and dead time
  /// makes false summits.
  ModelPoint summit() const {
    std::vector<Valued> starts;
    for (const ModelPoint& at : model_starts(light_, search_)) {
      starts.push_back(on_smooth(at));
    }
    std::sort(starts.begin(), starts.end(),
              [](const auto& a, const auto& b) { return a.first > b.first; });
    constexpr std::size_t kClimbs = 4;
    starts.resize(std::min(starts.size(), kClimbs));
    std::vector<ModelPoint> from(starts.size());
    std::transform(starts.begin(), starts.end(), from.begin(),
                   [](const Valued& start) { return start.second; });
    const Valued first =
        best_of(from, [this](const ModelPoint& at) { return climbed(with_scanned_slopes(at)); });
    return better(first, best_beside(first.second)).second;
  }

 private:
  static constexpr double kCoarseness = 4;
  static constexpr double kForgiving = 0.06;

  static ModelSearch forgiving(ModelSearch search) {
    search.misfit = kForgiving;
    return search;
  }

  Valued on_smooth(ModelPoint at) const {
    at[kMisfit] = kForgiving;
    return {smooth_.value(at), at};
  }

  Valued climbed(const ModelPoint& from) const {
    const ModelPoint at = rough_.climb(smooth_.climb(on_smooth(from).second));
    return {fine_.value(at), at};
  }

  /// Decoding is over by now: the climbs share the processors.
  template <class Climb>
  static Valued best_of(const std::vector<ModelPoint>& from, const Climb& climb) {
    std::vector<std::future<Valued>> climbs;
    climbs.reserve(from.size());
    for (const ModelPoint& at : from) {
      climbs.push_back(std::async(std::launch::async, climb, at));
    }
    Valued best{-1e300, {}};
    for (auto& each : climbs) {
      best = better(best, each.get());
    }
    return best;
  }

  std::vector<ModelAxis> slopes() const {
    std::vector<ModelAxis> axes;
    if (search_.sloped_x) {
      axes.push_back(kSlopeX);
    }
    if (search_.sloped_y) {
      axes.push_back(kSlopeY);
    }
    return axes;
  }

  /// By how much slopes are varied: the outermost places then move by a part of the exposure.
  double slope_stride(const ModelPoint& at) const { return 0.3 * at[kExposure] / reach_px_; }

  /// Tries slopes beside the guess, which dead time between exposures may have led astray.
  ModelPoint with_scanned_slopes(const ModelPoint& from) const {
    const double stride = slope_stride(from);
    Valued best = on_smooth(from);
    for (const ModelAxis axis : slopes()) {
      const ModelPoint centre = best.second;
      for (int i = -9; i <= 9; ++i) {
        ModelPoint at = centre;
        at[axis] += i * stride;
        best = better(best, on_smooth(at));
      }
    }
    return best.second;
  }

  /// A summit of another slope or another rise may be the higher one: climbs from beside it.
  Valued best_beside(const ModelPoint& summit) const {
    std::vector<ModelPoint> from;
    for (const ModelAxis axis : slopes()) {
      from.push_back(with_another_slope(summit, axis));
    }
    for (const ModelAxis axis : {kRamp, kDecay}) {
      from.push_back(with_another_rise(summit, axis));
    }
    return best_of(from, [this](const ModelPoint& at) { return climbed(at); });
  }

  /// The best place to climb from that has another slope than `summit`, at its exposure or at
  /// others.
  ModelPoint with_another_slope(const ModelPoint& summit, ModelAxis axis) const {
    Valued best{-1e300, summit};
    for (const double scale : {0.6, 1.0, 1.6}) {
      for (const int strides : {-9, -7, -5, -3, -2, 2, 3, 5, 7, 9}) {
        ModelPoint at = summit;
        at[kExposure] = std::min(scale * summit[kExposure], search_.interval_s);
        at[axis] += strides * slope_stride(summit);
        best = better(best, on_smooth(at));
      }
    }
    return best.second;
  }

  /// The best place to climb from at which `axis` takes a part of what exposure, ramp and decay
  /// together blur at `summit`, and the exposure the rest: each can stand for the others, and a
  /// climb along one of them alone does not get from one to the other.
  ModelPoint with_another_rise(const ModelPoint& summit, ModelAxis axis) const {
    // Variances of a box, a triangle and a decay.
    const double blur = summit[kExposure] * summit[kExposure] / 12 +
                        summit[kRamp] * summit[kRamp] / 24 + summit[kDecay] * summit[kDecay];
    Valued best{-1e300, summit};
    for (const double part : {0.1, 0.25, 0.4, 0.55, 0.7, 0.85}) {
      ModelPoint at = summit;
      at[kExposure] = std::min(std::sqrt(12 * part * blur), search_.interval_s);
      const double left = blur - at[kExposure] * at[kExposure] / 12;
      at[kRamp] = axis == kRamp ? std::sqrt(24 * left) : 0;
      at[kDecay] = axis == kDecay ? std::sqrt(left) : 0;
      best = better(best, on_smooth(at));
    }
    return best.second;
  }

  const std::vector<FilmedStep>& light_;
  const ModelSearch& search_;
  double reach_px_;
  ModelClimber smooth_;
  ModelClimber rough_;
  const ModelClimber& fine_;
};

/// A ramp and an exposure can stand for each other: the plain explanation gets its chance.
ModelPoint prefer_plain(const ModelClimber& climber, ModelPoint at, const ModelSearch& search) {
  if (search.exposure_s || at[kRamp] <= 0) {
    return at;
  }
  ModelPoint plain = at;
  // Boxes and triangles of one variance look alike.
  const double width_s = std::hypot(at[kExposure], at[kRamp] / std::sqrt(2.0));
  plain[kExposure] = std::min(width_s, search.interval_s);
  plain[kRamp] = 0;
  plain = climber.climb(plain);
  return climber.value(plain) > climber.value(at) ? plain : at;
}

}  // namespace

ModelPoint highest_summit(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
                          const ModelClimber& fine, const ModelSearch& search) {
  const ModelPoint start = Ascent(light, lamp, fine, search).summit();
  return prefer_plain(fine, fine.climb(start), search);
}

}  // namespace thumblight::onset
