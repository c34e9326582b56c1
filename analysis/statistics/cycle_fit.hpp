#pragma once

#include <cstddef>
#include <optional>
#include <span>

namespace thumblight::statistics {

/// How values go with the phase of a cycle: one sine wave a turn.
struct CycleFit {
  std::size_t n = 0;
  double amplitude = 0;  ///< half the way from crest to trough
  double share = 0;      ///< of the values' variance that the wave explains, 0 to 1
  double p = 1;          ///< probability of such a share, or more, if the phase did not matter
};

/// Fewest values for a wave to be sought.
inline constexpr std::size_t kFewestForCycle = 10;

/// Least squares of the values on the sine and cosine of the phase, tested by Fisher's F (circular-
/// linear regression: K. V. Mardia and P. E. Jupp, Directional Statistics, 2000, section 11.2; from
/// memory). `turns` are the phases, of which the whole part does not matter; `fitted` parameters (1
/// for a mean, 2 for a line) have been taken off the values already. Empty below `kFewestForCycle`
/// values, where the values do not vary and where the phases do not. Throws `Error` if the lengths
/// differ or a value is not finite.
std::optional<CycleFit> fit_cycle(std::span<const double> turns, std::span<const double> values,
                                  std::size_t fitted);

}  // namespace thumblight::statistics
