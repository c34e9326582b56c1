#pragma once

#include <cstddef>
#include <optional>

namespace thumblight::statistics {

/// What makes one press differ from the next before the device itself is counted.
struct ScatterSources {
  std::optional<double> camera_hz = std::nullopt;  ///< triangular of half-width T: T / sqrt 6
  std::optional<double> refresh_hz =
      std::nullopt;  ///< rectangular wait for the refresh: T / sqrt 12
  std::optional<double> poll_interval_ms =
      std::nullopt;                                  ///< rectangular wait for the poll: P / sqrt 12
  std::optional<double> other_sd_ms = std::nullopt;  ///< anything else that is known
  std::optional<double> pilot_sd_ms = std::nullopt;  ///< of a first measurement: it holds all of
                                                     ///< the above, and is then taken alone
};

/// Standard deviation of one press in ms: the pilot's, or the root sum of squares of the sources.
/// Absent if nothing is known. Throws `Error` at a rate that is not above zero or a negative
/// spread.
std::optional<double> predicted_sd_ms(const ScatterSources& sources);

/// What a plan rests on.
struct PlanBasis {
  double sd_ms;             ///< of one press; of each set-up, where two are compared
  double lasting_u_ms = 0;  ///< standard uncertainty that no number of presses removes: of the
                            ///< mean, or of the difference where two set-ups are compared
  double level = 0.95;
};

/// Plans beyond this many presses are called out of reach.
inline constexpr std::size_t kMostPlannedPresses = 1'000'000;

/// Half-width of the interval of the mean for n presses, two or more: Student's t of n - 1, joined
/// with the lasting part (as normal) by root sum of squares.
double planned_half_width_ms(const PlanBasis& basis, std::size_t n);

/// The fewest presses, two or more, whose half-width is no more than wanted: t depends on n, so n
/// is searched (NIST/SEMATECH e-Handbook 7.2.2.2 iterates likewise). Absent where the lasting part
/// alone is too much or the presses would be more than kMostPlannedPresses.
std::optional<std::size_t> presses_for_half_width(const PlanBasis& basis, double wanted_ms);

/// The probability that a true difference of two set-ups is resolved with n presses each, two or
/// more: two-sided two-sample t with equal spreads, noncentral t (J. Cohen, Statistical Power
/// Analysis, 2.2). A lasting uncertainty raises the threshold as in `judge`; the power is then
/// integrated over what the presses may show of their scatter (to about 1e-6).
double power_to_tell_apart(const PlanBasis& basis, double difference_ms, std::size_t n);

/// The fewest presses of each set-up, two or more, that reach this power. Absent where the lasting
/// part alone covers the difference or the presses would be more than kMostPlannedPresses.
std::optional<std::size_t> presses_to_tell_apart(const PlanBasis& basis, double difference_ms,
                                                 double power = 0.9);

/// The least true difference that n presses of each set-up, two or more, resolve with this power.
double detectable_difference_ms(const PlanBasis& basis, std::size_t n, double power = 0.9);

}  // namespace thumblight::statistics
