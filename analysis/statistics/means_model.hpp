#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "analysis/statistics/interval.hpp"
#include "analysis/statistics/linear_model.hpp"

namespace thumblight::statistics {

/// The mean of a session with its combined standard uncertainty and effective degrees of freedom.
struct UncertainMean {
  double value;
  double u;    ///< above zero
  double dof;  ///< one or more; may be infinite
};

/// By how much one level of a factor lies above the factor's first level, all else being equal.
struct MeanEffect {
  std::string factor;
  std::string level;
  std::string reference_level;
  std::size_t n;                     ///< sessions at this level
  std::optional<double> estimate;    ///< absent where the design cannot tell it from others
  std::optional<Interval> interval;  ///< absent likewise
};

/// Session means as a sum of one effect for each factor's level.
struct MeansModel {
  std::size_t n;  ///< sessions
  std::vector<MeanEffect> effects;
  std::size_t residual_dof;
  double between_sd;     ///< by how much sessions differ beyond effects and their own uncertainty
  std::size_t repeated;  ///< sessions beyond the first of each combination of levels
  std::vector<VarianceTerm> interactions;  ///< those with an F test; none without repeats
  std::size_t interaction_residual_dof;    ///< below the line in those tests; 0 without
  std::vector<Confounding> confounded;
};

/// Fits the additive model by least squares, weighted by 1 / (u^2 + b^2). The variance b^2 between
/// sessions is the least with which the weighted residual sum of squares is no greater than its
/// degrees of freedom (R. C. Paule and J. Mandel, Journal of Research of the National Bureau of
/// Standards 87, 1982, 377-385; from memory).
///
/// An interval is the wider of two: what the sessions' own uncertainties and b say, with effective
/// degrees of freedom (JCGM 100:2008, G.4.1), and what the residuals say, with Student's t for
/// theirs. The uncertainties of different sessions are held to be unrelated. Interactions of two
/// factors are tested by F with the same weights where a combination of levels was repeated, unless
/// they would take more than `kMostInteractionColumns` columns.
///
/// Absent without means or factors. Throws `Error` at an uncertainty that is not above zero, a dof
/// below one, or as `fit_additive_model`.
std::optional<MeansModel> fit_means(const std::vector<UncertainMean>& means,
                                    const std::vector<Factor>& factors, double level = 0.95);

inline constexpr std::size_t kMostInteractionColumns = 200;

}  // namespace thumblight::statistics
