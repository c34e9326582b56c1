#pragma once

#include <cstddef>
#include <optional>
#include <span>

namespace thumblight::statistics {

/// A standard deviation with its interval, the scatter of the instrument taken off.
struct SpreadInterval {
  std::size_t n = 0;
  double observed_sd = 0;              ///< with the instrument's scatter still in it
  std::optional<double> instrument_u;  ///< empty where it is not known
  /// What is left without the instrument; empty where nothing is, or where its share is not known.
  std::optional<double> sd;
  double low = 0;  ///< 0 where the data do not tell the spread from none
  double high = 0;
  double level = 0.95;

  bool is_resolved() const { return low > 0; }
};

/// An instrument's stated standard uncertainty is itself taken to be good to this share, with 95 %.
inline constexpr double kInstrumentDoubt = 0.2;

/// Fewest values for which an interval of their spread is given.
inline constexpr std::size_t kFewestForSpread = 8;

/// The spread of residuals about `fitted` fitted parameters (1 for a mean, 2 for a straight line).
///
/// The interval of the observed standard deviation is that of D. G. Bonett (Computational
/// Statistics & Data Analysis 50, 2006, 775-782; from memory), on the logarithm of the variance
/// with a kurtosis about a trimmed mean, so that it holds for other shapes than the normal;
/// Student's t stands for his normal quantile, and the kurtosis is raised at few values, since
/// coverage lacked there. The instrument's variance `instrument_u`^2 is taken off by the method of
/// variance estimates recovery (G. Y. Zou and A. Donner, Statistics in Medicine 27, 2008,
/// 1693-1702; from memory), with an estimate of no less than 0. Where the instrument's share is not
/// known it may be all there is: the lower limit is 0.
///
/// Empty below `kFewestForSpread` values. Throws `Error` at a value that is not finite.
std::optional<SpreadInterval> spread_interval(std::span<const double> residuals, std::size_t fitted,
                                              std::optional<double> instrument_u,
                                              double level = 0.95);

}  // namespace thumblight::statistics
