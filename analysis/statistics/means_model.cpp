#include "analysis/statistics/means_model.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

using Means = std::vector<UncertainMean>;
using Factors = std::vector<Factor>;

void check(const Means& means) {
  for (const UncertainMean& mean : means) {
    require_positive(mean.u, "the uncertainty of a mean");
    if (!(mean.dof >= 1)) {
      throw Error("the degrees of freedom of a mean must be one or more");
    }
  }
}

std::vector<double> values_of(const Means& means) {
  std::vector<double> values;
  for (const UncertainMean& mean : means) {
    values.push_back(mean.value);
  }
  return values;
}

std::vector<double> weights_of(const Means& means, double between_variance) {
  std::vector<double> weights;
  for (const UncertainMean& mean : means) {
    weights.push_back(1 / (mean.u * mean.u + between_variance));
  }
  return weights;
}

AdditiveModel fit(const Means& means, const Factors& factors, double level,
                  double between_variance) {
  return *fit_additive_model(values_of(means), factors, level, weights_of(means, between_variance));
}

/// Whether the residuals are no greater than their degrees of freedom allow.
bool explained(const AdditiveModel& model) {
  return !model.residual_sd || *model.residual_sd <= 1;
}

/// Paule and Mandel's, by bisection: the residuals fall steadily as it rises.
double between_variance(const Means& means, const Factors& factors, double level) {
  const auto enough = [&](double variance) {
    return explained(fit(means, factors, level, variance));
  };
  if (enough(0)) {
    return 0;
  }
  double high = means.front().u * means.front().u;
  while (!enough(high)) {
    high *= 4;
  }
  double low = 0;
  constexpr int kHalvings = 60;
  for (int k = 0; k < kHalvings && high - low > 1e-12 * high; ++k) {
    const double middle = (low + high) / 2;
    (enough(middle) ? high : low) = middle;
  }
  return high;
}

/// What the sessions' own uncertainties leave open in a weighted sum of their means.
double own_half_width(const std::vector<double>& contrast, const Means& means,
                      double between_variance, double level) {
  double variance = 0;
  double over_dof = 0;
  for (std::size_t i = 0; i < means.size(); ++i) {
    const double own = contrast[i] * contrast[i] * means[i].u * means[i].u;
    variance += own + contrast[i] * contrast[i] * between_variance;
    over_dof += own * own / means[i].dof;
  }
  const double dof = over_dof > 0 ? variance * variance / over_dof : HUGE_VAL;
  return student_two_sided_factor(level, dof) * std::sqrt(variance);
}

MeanEffect effect_of(const Effect& effect, const Means& means, double between_variance,
                     double level) {
  MeanEffect result{effect.factor, effect.level,    effect.reference_level,
                    effect.n,      effect.estimate, std::nullopt};
  if (!effect.estimate) {
    return result;
  }
  const double own = own_half_width(effect.contrast, means, between_variance, level);
  const double left_over = effect.interval ? effect.interval->half_width() : 0;
  const double half_width = std::max(own, left_over);
  result.interval = Interval{*effect.estimate - half_width, *effect.estimate + half_width, level};
  return result;
}

std::size_t count_repeated(std::size_t n, const Factors& factors) {
  std::set<std::vector<std::string>> cells;
  for (std::size_t i = 0; i < n; ++i) {
    std::vector<std::string> cell;
    for (const Factor& factor : factors) {
      cell.push_back(factor.level_of.at(i));
    }
    cells.insert(std::move(cell));
  }
  return n - cells.size();
}

std::size_t columns_of(const Factor& factor) {
  return std::set<std::string>(factor.level_of.begin(), factor.level_of.end()).size() - 1;
}

std::vector<Interaction> interactions_of(const Factors& factors) {
  std::vector<Interaction> pairs;
  std::size_t columns = 0;
  for (std::size_t a = 0; a < factors.size(); ++a) {
    for (std::size_t b = a + 1; b < factors.size(); ++b) {
      pairs.emplace_back(a, b);
      columns += columns_of(factors[a]) * columns_of(factors[b]);
    }
  }
  return columns <= kMostInteractionColumns ? pairs : std::vector<Interaction>();
}

void test_interactions(MeansModel& model, const Means& means, const Factors& factors,
                       double between_variance) {
  const std::optional<VarianceAnalysis> analysis = analyse_variance(
      values_of(means), factors, interactions_of(factors), weights_of(means, between_variance));
  for (std::size_t k = factors.size(); k < analysis->terms.size(); ++k) {
    if (analysis->terms[k].f) {
      model.interactions.push_back(analysis->terms[k]);
      model.interaction_residual_dof = analysis->residual_dof;
    }
  }
}

}  // namespace

std::optional<MeansModel> fit_means(const Means& means, const Factors& factors, double level) {
  if (means.empty() || factors.empty()) {
    return std::nullopt;
  }
  check(means);
  const double between = between_variance(means, factors, level);
  const AdditiveModel additive = fit(means, factors, level, between);
  MeansModel model{means.size(),
                   {},
                   additive.residual_dof,
                   std::sqrt(between),
                   count_repeated(means.size(), factors),
                   {},
                   0,
                   additive.confounded};
  for (const Effect& effect : additive.effects) {
    model.effects.push_back(effect_of(effect, means, between, level));
  }
  if (model.repeated > 0) {
    test_interactions(model, means, factors, between);
  }
  return model;
}

}  // namespace thumblight::statistics
