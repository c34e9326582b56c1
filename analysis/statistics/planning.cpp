#include "analysis/statistics/planning.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/ordered_double.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

constexpr double kMsPerSecond = 1000;
constexpr std::size_t kFewestPresses = 2;
/// Beyond this noncentrality the normal approximation to the power is good to many digits, and the
/// series of the noncentral t becomes slow.
constexpr double kFarNoncentrality = 35;
/// Scatter below this share of the difference and the lasting part decides nothing.
constexpr double kNegligible = 1e-9;

double variance_of_rate(std::optional<double> rate_hz, double divisor, const char* what) {
  if (!rate_hz) {
    return 0;
  }
  require_positive(*rate_hz, what);
  const double period_ms = kMsPerSecond / *rate_hz;
  return period_ms * period_ms / divisor;
}

double variance_of_sd(std::optional<double> sd_ms, double divisor, const char* what) {
  if (!sd_ms) {
    return 0;
  }
  require_not_negative(*sd_ms, what);
  return *sd_ms * *sd_ms / divisor;
}

void check(const PlanBasis& basis) {
  require_not_negative(basis.sd_ms, "standard deviation of one press");
  require_not_negative(basis.lasting_u_ms, "lasting uncertainty");
  require_share(basis.level, "level of confidence");
}

void check(std::size_t n) {
  if (n < kFewestPresses) {
    throw Error("a plan is for two presses or more");
  }
}

double lasting_half_width(const PlanBasis& basis) {
  return basis.lasting_u_ms * normal_quantile(0.5 + basis.level / 2);
}

/// The fewest presses for which `enough` is true; it must stay true from there on.
std::optional<std::size_t> fewest_presses(const std::function<bool(std::size_t)>& enough) {
  std::size_t too_few = kFewestPresses - 1;
  std::size_t serve = kFewestPresses;
  while (!enough(serve)) {
    if (serve >= kMostPlannedPresses) {
      return std::nullopt;
    }
    too_few = serve;
    serve = std::min(2 * serve, kMostPlannedPresses);
  }
  while (serve - too_few > 1) {
    const std::size_t middle = too_few + (serve - too_few) / 2;
    (enough(middle) ? serve : too_few) = middle;
  }
  return serve;
}

/// Probability that |t'| of the noncentral t passes `critical`.
double two_sided_power(double critical, double dof, double noncentrality) {
  if (noncentrality > kFarNoncentrality) {
    return normal_cdf((noncentrality - critical) / std::sqrt(1 + critical * critical / (2 * dof)));
  }
  return 1 - noncentral_t_cdf(critical, dof, noncentrality) +
         noncentral_t_cdf(-critical, dof, noncentrality);
}

/// The same where a lasting part raises the threshold to hypot(factor s, lasting), all in units of
/// the difference's standard error, `s` being the error that the presses show: the chance is taken
/// over s, whose square is chi-squared of `dof` over `dof` (Simpson's rule out to eight standard
/// deviations of s; the weights are normed, so that their constant need not be known).
double power_beside_lasting(double factor, double lasting, double dof, double noncentrality) {
  constexpr int kSteps = 400;
  const double reach = 8 / std::sqrt(2 * dof);
  const double least = std::max(0.0, 1 - reach);
  const double step = (1 + reach - least) / kSteps;
  double power = 0;
  double weights = 0;
  for (int k = 0; k <= kSteps; ++k) {
    const double s = least + k * step;
    const double rule = k == 0 || k == kSteps ? 1 : (k % 2 == 1 ? 4 : 2);
    const double weight =
        s > 0 ? rule * std::exp((dof - 1) * std::log(s) - dof * (s - 1) * (s + 1) / 2) : 0;
    const double threshold = std::hypot(factor * s, lasting);
    power +=
        weight * (normal_cdf(noncentrality - threshold) + normal_cdf(-noncentrality - threshold));
    weights += weight;
  }
  return power / weights;
}

}  // namespace

std::optional<double> predicted_sd_ms(const ScatterSources& sources) {
  if (sources.pilot_sd_ms) {
    require_not_negative(*sources.pilot_sd_ms, "pilot's standard deviation");
    return sources.pilot_sd_ms;
  }
  if (!sources.camera_hz && !sources.refresh_hz && !sources.poll_interval_ms &&
      !sources.other_sd_ms) {
    return std::nullopt;
  }
  return std::sqrt(variance_of_rate(sources.camera_hz, 6, "camera's rate") +
                   variance_of_rate(sources.refresh_hz, 12, "refresh rate") +
                   variance_of_sd(sources.poll_interval_ms, 12, "polling interval") +
                   variance_of_sd(sources.other_sd_ms, 1, "standard deviation"));
}

double planned_half_width_ms(const PlanBasis& basis, std::size_t n) {
  check(basis);
  check(n);
  const auto presses = static_cast<double>(n);
  const double scatter =
      student_two_sided_factor(basis.level, presses - 1) * basis.sd_ms / std::sqrt(presses);
  return std::hypot(scatter, lasting_half_width(basis));
}

std::optional<std::size_t> presses_for_half_width(const PlanBasis& basis, double wanted_ms) {
  check(basis);
  require_positive(wanted_ms, "wanted half-width");
  return fewest_presses(
      [&](std::size_t n) { return planned_half_width_ms(basis, n) <= wanted_ms; });
}

double power_to_tell_apart(const PlanBasis& basis, double difference_ms, std::size_t n) {
  check(basis);
  check(n);
  require_not_negative(difference_ms, "difference");
  const double lasting = lasting_half_width(basis);
  if (basis.sd_ms <= kNegligible * std::max(difference_ms, lasting)) {
    return difference_ms > lasting ? 1 : 0;
  }
  const double error = basis.sd_ms * std::sqrt(2 / static_cast<double>(n));
  const double dof = 2 * (static_cast<double>(n) - 1);
  const double factor = student_two_sided_factor(basis.level, dof);
  const double power =
      lasting > 0 ? power_beside_lasting(factor, lasting / error, dof, difference_ms / error)
                  : two_sided_power(factor, dof, difference_ms / error);
  return std::clamp(power, 0.0, 1.0);
}

std::optional<std::size_t> presses_to_tell_apart(const PlanBasis& basis, double difference_ms,
                                                 double power) {
  check(basis);
  require_positive(difference_ms, "wanted difference");
  require_share(power, "power");
  if (difference_ms <= lasting_half_width(basis)) {
    return std::nullopt;
  }
  return fewest_presses(
      [&](std::size_t n) { return power_to_tell_apart(basis, difference_ms, n) >= power; });
}

double detectable_difference_ms(const PlanBasis& basis, std::size_t n, double power) {
  check(basis);
  check(n);
  require_share(power, "power");
  if (basis.sd_ms == 0) {
    return lasting_half_width(basis);
  }
  const auto resolved = [&](double difference_ms) {
    return power_to_tell_apart(basis, difference_ms, n) >= power;
  };
  double enough = std::max(planned_half_width_ms(basis, n), basis.sd_ms);
  while (!resolved(enough) && std::isfinite(enough)) {
    enough = 2 * enough + 1e-6;
  }
  return least_double_that(0, enough, resolved);
}

}  // namespace thumblight::statistics
