#include "tests/matrix/limits.hpp"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/poisson.hpp>
#include <cmath>

namespace thumblight::test {
namespace {

using rehearsal::CameraSettings;
using rehearsal::Settings;

constexpr double kBias_s = 3e-4;
constexpr double kFingerBias_s = 4e-3;

/// The limits hold at 240 frames a second and above; below, they grow with the frame.
double growth(const CameraSettings& camera) {
  return std::max(1.0, 240 / camera.nominal_hz);
}

/// Standard deviation that missing or repeated frames bring to `steps` of them: one that falls into
/// a hole, one frame and its dead time long, is known to no better than that. As many may fall into
/// holes as do in 97.5 % of all films.
double holes_sd_s(const CameraSettings& camera, int steps) {
  const double frame_s = 1 / camera.nominal_hz;
  const double hole_s = frame_s + (1 - camera.exposure_share) * frame_s;
  const double expected = steps * (camera.dropped + camera.doubled) * hole_s / frame_s;
  if (expected <= 0) {
    return 0;
  }
  const boost::math::poisson_distribution<> falling(expected);
  return hole_s * std::sqrt(boost::math::quantile(falling, 0.975) / steps / 12);
}

void check(const Tally& tally, const char* kind, const Condition& condition,
           std::vector<std::string>& broken) {
  const std::string name = kind;
  // Where many things are bad at once a film may leave more open; then the tool must say so.
  const double stated_s = condition.crossed ? tally.mean_u_s() : 0;
  if (std::abs(tally.bias_s()) > std::max(allowed_bias_s(condition.settings), 2 * stated_s)) {
    broken.push_back(name + " bias");
  }
  if (tally.sd_s() > std::max(allowed_sd_s(condition.settings, tally.n()), stated_s)) {
    broken.push_back(name + " SD");
  }
  if (!covers_honestly(tally.share(), tally.independent())) {
    broken.push_back(name + " u");
  }
  const std::vector<FilmMean> means = tally.film_means();
  const double most = allowed_shift(means.size());
  if (std::any_of(means.begin(), means.end(), [most](const FilmMean& mean) {
        return std::abs(mean.error_s) > most * mean.u_s;
      })) {
    broken.push_back(name + " film's mean");
  }
}

}  // namespace

double allowed_bias_s(const Settings& settings) {
  return kBias_s * growth(settings.camera);
}

double allowed_sd_s(const Settings& settings, int steps) {
  const CameraSettings& camera = settings.camera;
  const double dead_s = (1 - camera.exposure_share) / camera.nominal_hz;
  const double whole = camera.exposure_share >= 0.8
                           ? 3e-4 * growth(camera)
                           : dead_s / std::sqrt(12.0) + 2e-4 * growth(camera);
  return std::hypot(whole, holes_sd_s(camera, steps));
}

bool covers_honestly(double share, double independent) {
  using Binomial = boost::math::binomial_distribution<>;
  constexpr double kTail = 0.025;
  constexpr double kLeast = 0.93;
  constexpr double kMost = 0.99;
  if (independent <= 0) {
    return false;
  }
  const auto method = Binomial::clopper_pearson_exact_interval;
  const double covered = share * independent;
  return Binomial::find_lower_bound_on_p(independent, covered, kTail, method) <= kMost &&
         Binomial::find_upper_bound_on_p(independent, covered, kTail, method) >= kLeast;
}

double allowed_shift(std::size_t n) {
  constexpr double kTail = 0.025;  // Bonferroni's share of it for each
  const boost::math::normal_distribution<> normal;
  return boost::math::quantile(normal,
                               1 - kTail / static_cast<double>(std::max<std::size_t>(n, 1)));
}

std::vector<std::string> broken_promises(const Cell& cell) {
  std::vector<std::string> broken = cell.faults;
  if (cell.missed > 0) {
    broken.emplace_back("missed");
  }
  if (cell.invented > 0) {
    broken.emplace_back("invented");
  }
  check(cell.light, "light", cell.condition, broken);
  if (cell.by_lamp()) {
    check(cell.press, "lamp", cell.condition, broken);
  } else {
    const double stated_s = cell.condition.crossed ? cell.press.mean_u_s() : 0;
    if (std::abs(cell.press.bias_s()) > std::max(kFingerBias_s, stated_s)) {
      broken.emplace_back("finger bias");
    }
    if (cell.press.within() < cell.press.n()) {
      broken.emplace_back("finger interval");
    }
  }
  const double shift = allowed_shift(cell.halvings.size());
  const bool moved = std::any_of(
      cell.halvings.begin(), cell.halvings.end(),
      [shift](const Halving& halving) { return std::abs(halving.shift_s) > shift * halving.u_s; });
  if (moved) {
    broken.emplace_back("halved rate");
  }
  return broken;
}

}  // namespace thumblight::test
