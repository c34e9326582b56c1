#include "analysis/timing/spacing.hpp"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <cmath>

#include "analysis/timing/chains.hpp"
#include "analysis/timing/nearest.hpp"

namespace thumblight::timing {
namespace {

constexpr double kNarrowestSeconds = 0.008;  ///< two frames at 240 images a second
constexpr double kWidestSeconds = 0.060;
constexpr int kRefinements = 3;
constexpr std::ptrdiff_t kShiftsTried = 8;
/// Natural logarithm of the odds that a layout must have over every other to count as clear.
constexpr double kClearOdds = 10;
/// A layout that chance brings about more often than this is not checked by its spacing.
constexpr double kMostByChance = 0.05;

/// Both series and what is known of their clocks.
struct Series {
  const std::vector<double>& host_s;
  const std::vector<double>& recording_s;
  const SpacingLimits& limits;
};

/// Events that are each other's nearest along the trend and lie within the tolerance of it.
std::vector<Match> mutual_nearest(const Series& series, const Trend& trend, double tolerance_s) {
  std::vector<double> targets_s;
  targets_s.reserve(series.recording_s.size());
  for (const double t_s : series.recording_s) {
    targets_s.push_back(t_s + trend.at(t_s));
  }
  std::vector<Match> matches;
  for (std::size_t j = 0; j < targets_s.size(); ++j) {
    const std::size_t i = nearest(series.host_s, targets_s[j]);
    const bool is_near = std::abs(series.host_s[i] - targets_s[j]) <= tolerance_s;
    const bool is_later = matches.empty() || i > matches.back().logged;
    if (is_near && is_later && nearest(targets_s, series.host_s[i]) == j) {
      matches.push_back({i, j});
    }
  }
  return matches;
}

std::vector<Point> offsets_of(const Series& series, const std::vector<Match>& matches) {
  std::vector<Point> points;
  points.reserve(matches.size());
  for (const Match& match : matches) {
    const double t_s = series.recording_s[match.recorded];
    points.push_back({t_s, series.host_s[match.logged] - t_s});
  }
  return points;
}

/// The spread of the matches about their trend; two points lie on any line, so they tell nothing.
double spread_about(const std::vector<Point>& points, const Trend& trend) {
  if (points.size() < 3) {
    return kStepToleranceSeconds / 2;
  }
  std::vector<double> left;
  left.reserve(points.size());
  for (const Point& point : points) {
    left.push_back(point.y - trend.at(point.x));
  }
  const auto n = static_cast<double>(points.size());
  return robust_sd(left) * std::sqrt(n / (n - 2));
}

/// The middle one of the gaps between events, which a pause of hours does not move.
double middle_gap(const std::vector<double>& times_s) {
  if (times_s.size() < 2) {
    return 1;
  }
  std::vector<double> gaps_s;
  gaps_s.reserve(times_s.size());
  for (std::size_t k = 1; k < times_s.size(); ++k) {
    gaps_s.push_back(times_s[k] - times_s[k - 1]);
  }
  return median(std::move(gaps_s));
}

/// How much better than chance: each match counts by how narrow it is beside the middle gap.
double score_of(std::size_t count, double spread_s, double gap_s) {
  constexpr double kFinestSeconds = 0.001;
  return static_cast<double>(count) * std::log1p(gap_s / (spread_s + kFinestSeconds));
}

/// Matches along the trend, the trend from the matches, and again.
SpacingFit refine(const Series& series, Trend trend) {
  SpacingFit fit;
  fit.trend = std::move(trend);
  fit.tolerance_s = kStepToleranceSeconds;
  double spread_s = 0;
  for (int k = 0; k < kRefinements; ++k) {
    fit.matches = mutual_nearest(series, fit.trend, fit.tolerance_s);
    if (fit.matches.empty()) {
      return fit;
    }
    const std::vector<Point> points = offsets_of(series, fit.matches);
    fit.trend = Trend(points, series.limits.largest_rate);
    spread_s = spread_about(points, fit.trend);
    fit.tolerance_s = tolerance_of(spread_s);
  }
  fit.score = score_of(fit.matches.size(), spread_s, middle_gap(series.host_s));
  return fit;
}

bool same(const Match& a, const Match& b) {
  return a.logged == b.logged && a.recorded == b.recorded;
}

bool before(const Match& a, const Match& b) {
  return a.recorded < b.recorded;
}

/// Whether two fits lay most events alike.
bool same_layout(const SpacingFit& a, const SpacingFit& b) {
  std::size_t common = 0;
  for (const Match& match : a.matches) {
    const auto found = std::lower_bound(b.matches.begin(), b.matches.end(), match, before);
    common += found != b.matches.end() && same(*found, match) ? 1 : 0;
  }
  return 2 * common > std::min(a.matches.size(), b.matches.size());
}

bool is_allowed(const Series& series, const SpacingFit& fit) {
  if (!series.limits.offset_s) {
    return true;
  }
  std::vector<double> offsets_s;
  for (const Point& point : offsets_of(series, fit.matches)) {
    offsets_s.push_back(point.y);
  }
  const double middle_s = median(std::move(offsets_s));
  return middle_s >= series.limits.offset_s->low_s && middle_s <= series.limits.offset_s->high_s;
}

/// Whether the steps are even enough for a shifted layout to match a fair share of the events.
bool are_even(const std::vector<double>& steps_s, double middle_s) {
  std::size_t near = 0;
  for (const double step_s : steps_s) {
    near += std::abs(step_s - middle_s) <= kWidestSeconds ? 1 : 0;
  }
  return 4 * near >= steps_s.size();
}

/// The layout in which every event of the host is taken for the one `shift` places on; empty where
/// the rhythm is too uneven for it.
std::optional<SpacingFit> shifted_fit(const Series& series, const SpacingFit& fit,
                                      std::ptrdiff_t shift) {
  const auto count = static_cast<std::ptrdiff_t>(series.host_s.size());
  std::vector<double> steps_s;
  for (const Match& match : fit.matches) {
    const std::ptrdiff_t i = static_cast<std::ptrdiff_t>(match.logged) + shift;
    if (i >= 0 && i < count) {
      steps_s.push_back(series.host_s[static_cast<std::size_t>(i)] - series.host_s[match.logged]);
    }
  }
  const double middle_s = median(steps_s);
  if (steps_s.empty() || !are_even(steps_s, middle_s)) {
    return std::nullopt;
  }
  return refine(series, fit.trend.shifted(middle_s));
}

/// Whether `other` is a different layout that explains the events about as well as `best`.
bool rivals(const Series& series, const SpacingFit& best, const SpacingFit& other) {
  return other.matches.size() >= 2 && other.score > best.score - kClearOdds &&
         is_allowed(series, other) && !same_layout(best, other);
}

bool has_rival(const Series& series, const SpacingFit& best, const std::vector<SpacingFit>& fits) {
  for (const SpacingFit& fit : fits) {
    if (rivals(series, best, fit)) {
      return true;
    }
  }
  for (std::ptrdiff_t shift = -kShiftsTried; shift <= kShiftsTried; ++shift) {
    if (shift == 0) {
      continue;
    }
    const std::optional<SpacingFit> other = shifted_fit(series, best, shift);
    if (other && rivals(series, best, *other)) {
      return true;
    }
  }
  return false;
}

/// How many layouts as good as this one chance alone is expected to bring about.
double expected_by_chance(const Series& series, const SpacingFit& fit) {
  const auto host_count = static_cast<double>(series.host_s.size());
  const auto recording_count = static_cast<double>(series.recording_s.size());
  const double window_s = 2 * std::max(fit.tolerance_s, kStepToleranceSeconds);
  const double hit = std::min(0.9, window_s / std::max(middle_gap(series.host_s), window_s));
  const double tries = std::min(host_count, recording_count) - 1;
  const auto further = static_cast<double>(fit.matches.size() - 1);
  if (further < 1) {
    return host_count * recording_count;
  }
  const boost::math::binomial_distribution<double> chance(tries, hit);
  return host_count * recording_count *
         boost::math::cdf(boost::math::complement(chance, further - 1));
}

Certainty judge(const Series& series, const SpacingFit& best, const std::vector<SpacingFit>& fits) {
  if (best.matches.empty()) {
    return Certainty::kFailed;
  }
  if (has_rival(series, best, fits)) {
    return Certainty::kAmbiguous;
  }
  if (series.limits.offset_s || expected_by_chance(series, best) <= kMostByChance) {
    return Certainty::kClear;
  }
  const bool all_matched = best.matches.size() == series.host_s.size() &&
                           best.matches.size() == series.recording_s.size();
  return all_matched ? Certainty::kUnchecked : Certainty::kAmbiguous;
}

SpacingFit fit_distinct(const Series& series) {
  SpacingFit best;
  std::vector<SpacingFit> fits;
  const auto chains = find_chains(series.host_s, series.recording_s, series.limits);
  std::size_t longest = 0;
  for (const std::vector<Match>& chain : chains) {
    longest = std::max(longest, chain.size());
  }
  for (const std::vector<Match>& chain : chains) {
    if (3 * chain.size() < longest) {
      continue;
    }
    fits.push_back(refine(series, Trend(offsets_of(series, chain), series.limits.largest_rate)));
    if (is_allowed(series, fits.back()) && fits.back().score > best.score) {
      best = fits.back();
    }
  }
  best.certainty = judge(series, best, fits);
  return best;
}

/// The events without those at the same time as the one before, which nothing tells apart.
struct Distinct {
  std::vector<double> times_s;
  std::vector<std::size_t> places;  ///< in the series as it was given
};

Distinct distinct(const std::vector<double>& times_s) {
  Distinct events;
  for (std::size_t k = 0; k < times_s.size(); ++k) {
    if (k == 0 || times_s[k] > times_s[k - 1]) {
      events.times_s.push_back(times_s[k]);
      events.places.push_back(k);
    }
  }
  return events;
}

}  // namespace

double tolerance_of(double spread_s) {
  return std::clamp(6 * spread_s, kNarrowestSeconds, kWidestSeconds);
}

SpacingFit fit_spacing(const std::vector<double>& host_s, const std::vector<double>& recording_s,
                       const SpacingLimits& limits) {
  const Distinct host = distinct(host_s);
  const Distinct recording = distinct(recording_s);
  SpacingFit fit = fit_distinct({host.times_s, recording.times_s, limits});
  for (Match& match : fit.matches) {
    match = {host.places[match.logged], recording.places[match.recorded]};
  }
  return fit;
}

}  // namespace thumblight::timing
