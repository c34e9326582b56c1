#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "analysis/statistics/interval.hpp"

namespace thumblight::statistics {

/// One thing that was varied between observations, such as the controller or the connection.
struct Factor {
  std::string name;
  std::vector<std::string> level_of;  ///< the level at each observation
};

/// Something the design cannot tell: an effect that always came together with others, a pair of
/// levels that never met, or a factor that was never varied.
struct Confounding {
  std::string effect;             ///< such as "display B" or "controller"
  std::vector<std::string> with;  ///< empty where the design holds nothing to compare
};

/// The confounding as a plain sentence.
std::string sentence(const Confounding& confounding);

/// One row of an analysis of variance.
struct VarianceTerm {
  std::string name;  ///< a factor's, or "first x second" for an interaction
  std::size_t dof;   ///< 0 if the design cannot tell the term from others
  double sum_of_squares;
  std::optional<double> mean_square;  ///< absent without degrees of freedom
  std::optional<double> f;            ///< absent without residual scatter to compare with
  std::optional<double> p;
};

struct VarianceAnalysis {
  std::vector<VarianceTerm> terms;  ///< factors in their order, then interactions
  std::size_t residual_dof;
  double residual_sum_of_squares;
  std::optional<double> residual_sd;  ///< absent without residual degrees of freedom
  std::optional<double> r_squared;    ///< absent if all observations are equal
  std::vector<Confounding> confounded;
};

/// Interactions are named by the positions of their two factors.
using Interaction = std::pair<std::size_t, std::size_t>;

/// Analysis of variance (NIST/SEMATECH e-Handbook 7.4.3). Each term's sum of squares is adjusted
/// for every other term that does not contain it (type II), so that unequal numbers of presses do
/// no harm; where the design is balanced that is the textbook's sum. An interaction has a test
/// where cells were repeated. `weights`, one above zero for each observation, or none for equal
/// ones, are inverse variances up to a common factor. Absent without observations or factors.
/// Throws `Error` if the length of a factor or of the weights differs from y's, a value is not
/// finite or an interaction does not name two different factors.
std::optional<VarianceAnalysis> analyse_variance(std::span<const double> y,
                                                 const std::vector<Factor>& factors,
                                                 const std::vector<Interaction>& interactions = {},
                                                 std::span<const double> weights = {});

/// By how much one level of a factor lies above the factor's first level, all else being equal.
struct Effect {
  std::string factor;
  std::string level;
  std::string reference_level;     ///< the first level that occurs among the observations
  std::size_t n;                   ///< observations at this level
  std::optional<double> estimate;  ///< absent where the design cannot tell it from other effects
  std::optional<double>
      standard_error;                ///< absent likewise, or without residual degrees of freedom
  std::optional<Interval> interval;  ///< Student's t, residual degrees of freedom; absent likewise
  std::vector<double> contrast;  ///< the estimate as a weighted sum of the y; empty where absent
};

/// y = base + one effect for each factor's level.
struct AdditiveModel {
  std::optional<double> base;  ///< expected y at every factor's first level; absent if confounded
  std::vector<Effect> effects;
  std::size_t residual_dof;
  std::optional<double> residual_sd;  ///< of an observation of weight 1
  std::vector<Confounding> confounded;
};

/// Fits the additive model by least squares. Weights, absence and faults as for
/// `analyse_variance`.
std::optional<AdditiveModel> fit_additive_model(std::span<const double> y,
                                                const std::vector<Factor>& factors,
                                                double level = 0.95,
                                                std::span<const double> weights = {});

}  // namespace thumblight::statistics
