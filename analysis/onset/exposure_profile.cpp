#include "analysis/onset/exposure_profile.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace thumblight::onset {
namespace {

constexpr double kShortest = 0.05;  ///< shares of the interval
constexpr double kLongest = 1;
constexpr int kPoints = 9;
constexpr int kFinePoints = 7;
constexpr double kHopeless = 6;  ///< logarithm of the likelihood below the best

struct Weighed {
  ModelPoint at{};
  double value = 0;
};

/// The shares of the interval that the lamps alone leave open.
std::pair<double, double> open_range(const std::vector<FilmedStep>& lamp, const ModelSearch& search,
                                     const ModelPoint& best) {
  if (lamp.empty()) {
    return {kShortest, kLongest};
  }
  constexpr int kSteps = 38;
  const std::vector<FilmedStep> none;
  const ModelClimber lamps(none, lamp, search, 1);
  std::vector<std::pair<double, double>> tried;
  double most = -1e300;
  for (int i = 0; i <= kSteps; ++i) {
    const double share = kShortest + (kLongest - kShortest) * i / kSteps;
    ModelPoint at = best;
    at[kExposure] = share * search.interval_s;
    tried.emplace_back(share, lamps.value(at));
    most = std::max(most, tried.back().second);
  }
  std::pair<double, double> range{kLongest, kShortest};
  for (const auto& [share, value] : tried) {
    if (value > most - kHopeless) {
      range = {std::min(range.first, share), std::max(range.second, share)};
    }
  }
  return range;
}

/// The model carried to another exposure: together they blur as much as before.
ModelPoint carried_to(const ModelPoint& from, double exposure_s) {
  ModelPoint at = from;
  // Boxes and triangles of one variance look alike.
  const double square =
      from[kExposure] * from[kExposure] + from[kRamp] * from[kRamp] / 2 - exposure_s * exposure_s;
  at[kExposure] = exposure_s;
  at[kRamp] = std::sqrt(2 * std::max(0.0, square));
  return at;
}

/// The rising light may tell more than the count of half-lit lamps, which is binomial, but its
/// half-lit levels are drawn by a coder: how far it is believed is what rehearsed films scatter by.
/// It tells little more where the shutter is mostly closed: of a rise that one frame catches, all
/// times in proportion look the same.
double least_u_s(double exposure_s, double interval_s, std::size_t lamps) {
  constexpr double kNoLamp = 0.05;  // common practice, no source: what a rising light alone tells
  if (lamps == 0) {
    return kNoLamp * interval_s;
  }
  const auto n = static_cast<double>(lamps);
  const double share = (exposure_s / interval_s * n + 0.5) / (n + 1);
  constexpr double kTwice = 0.6;  // from here on most rises are caught twice ...
  constexpr double kOnce = 0.3;   // ... and from here down, once
  const double once = std::clamp((kTwice - share) / (kTwice - kOnce), 0.0, 1.0);
  constexpr double kOfCount = 0.375;
  return kOfCount * (1 + once) * interval_s * std::sqrt(share * (1 - share) / n);
}

/// Light rises along a ramp or along a decay. One that needs both is more likely light of another
/// exposure, which both together mimic.
double prior_of_both(const EdgeShape& shape) {
  constexpr double kBoth = 1.2;
  return -kBoth * std::expm1(-shape.ramp_s / kToldRise_s) *
         std::expm1(-shape.decay_s / kToldRise_s);
}

/// A model climbed to at each of several exposures, and how likely it is.
class Profile {
 public:
  Profile(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
          const ModelSearch& search, double temper)
      : light_(light), lamp_(lamp), search_(search), temper_(temper) {}

  /// Exposures from `low_s` to `high_s`, each climbed to from its neighbour, `from` the nearest.
  void look(const ModelPoint& from, double low_s, double high_s, int points) {
    const auto exposure_s = [=](int i) {
      return points > 1 ? low_s + (high_s - low_s) * i / (points - 1) : low_s;
    };
    int start = 0;
    for (int i = 1; i < points; ++i) {
      const bool nearer =
          std::abs(exposure_s(i) - from[kExposure]) < std::abs(exposure_s(start) - from[kExposure]);
      start = nearer ? i : start;
    }
    ModelPoint near = from;
    for (int i = start; i < points; ++i) {
      near = climb(near, exposure_s(i));
    }
    near = from;
    for (int i = start - 1; i >= 0; --i) {
      near = climb(near, exposure_s(i));
    }
    spacing_s_ = points > 1 ? (high_s - low_s) / (points - 1) : 0;
  }

  const Weighed& top() const {
    return *std::max_element(all_.begin(), all_.end(),
                             [](const auto& a, const auto& b) { return a.value < b.value; });
  }

  /// The likeliest exposure: a mean would be drawn towards short exposures with long rises, of
  /// which there are more.
  ExposureProfile summary() const {
    ExposureProfile profile;
    profile.at = top().at;
    profile.exposure_s = profile.at[kExposure];
    double sum = 0;
    double weights = 0;
    for (const Weighed& each : all_) {
      const double weight = std::exp(each.value - top().value);
      const double off_s = each.at[kExposure] - profile.exposure_s;
      weights += weight;
      sum += weight * off_s * off_s;
    }
    profile.u_s = std::sqrt(sum / weights + spacing_s_ * spacing_s_ / 12);
    return profile;
  }

  void forget() { all_.clear(); }
  double spacing_s() const { return spacing_s_; }

 private:
  bool is_whole(double exposure_s) const { return exposure_s > 0.999 * search_.interval_s; }

  ModelPoint climb(const ModelPoint& from, double exposure_s) {
    constexpr double kCoarseness = 3;
    ModelSearch pinned = search_;
    pinned.exposure_s = exposure_s;
    const ModelClimber climber(light_, lamp_, pinned, kCoarseness, temper_);
    const ModelPoint at = climber.climb_nearby(carried_to(from, exposure_s));
    // Where light is short, and it is at such rates, cameras expose as long as the frame lasts.
    constexpr double kWholeIsUsual = 1.1;  // a weight of three
    const double prior =
        (is_whole(exposure_s) ? kWholeIsUsual : 0) + prior_of_both({at[kRamp], at[kDecay]});
    all_.push_back({at, climber.value(at) + prior});
    return at;
  }

  const std::vector<FilmedStep>& light_;
  const std::vector<FilmedStep>& lamp_;
  const ModelSearch& search_;
  double temper_;
  double spacing_s_ = 0;
  std::vector<Weighed> all_;
};

/// By how much less the light tells of the exposure where a longer rise and a longer exposure look
/// alike: along an S, which is not known, and where the light creeps for longer than a frame, of
/// which coders draw the end as they please; the misfit shows how much they do.
double unknown_shape(const ModelPoint& best, double interval_s) {
  constexpr double kRamps = 0.3;   // of the exposure
  constexpr double kCreeps = 0.6;  // of the interval
  constexpr double kCleanMisfit = 0.0025;
  constexpr double kLeastForRamps = 4;
  constexpr double kMost = 12;
  const bool ramps = best[kRamp] > kRamps * best[kExposure];
  const bool creeps = best[kDecay] > kCreeps * interval_s;
  const double spoilt = std::pow(best[kMisfit] / kCleanMisfit, 2);
  return ramps || creeps ? std::clamp(spoilt, ramps ? kLeastForRamps : 1.0, kMost) : 1.0;
}

}  // namespace

ExposureProfile weigh_exposures(const std::vector<FilmedStep>& light,
                                const std::vector<FilmedStep>& lamp, const ModelSearch& search,
                                const ModelPoint& best, double temper) {
  Profile profile(light, lamp, search, temper * unknown_shape(best, search.interval_s));
  if (search.exposure_s) {
    profile.look(best, *search.exposure_s, *search.exposure_s, 1);
    return profile.summary();
  }
  const auto [low, high] = open_range(lamp, search, best);
  // Between the exposures looked at there may be a summit that none of them climbs to.
  profile.look(best, best[kExposure], best[kExposure], 1);
  profile.look(best, low * search.interval_s, high * search.interval_s, kPoints);
  const ExposureProfile rough = profile.summary();
  const double around_s = profile.spacing_s();
  profile.forget();
  profile.look(rough.at, std::max(kShortest * search.interval_s, rough.exposure_s - around_s),
               std::min(search.interval_s, rough.exposure_s + around_s), kFinePoints);
  ExposureProfile fine = profile.summary();
  fine.u_s = std::max(rough.u_s > around_s ? rough.u_s : fine.u_s,
                      least_u_s(fine.exposure_s, search.interval_s, lamp.size()));
  return fine;
}

}  // namespace thumblight::onset
