#include "analysis/statistics/linear_model.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/least_squares.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

/// A factor or an interaction with its columns of zeros and ones.
struct Term {
  std::string name;
  std::vector<std::size_t> factors;  // one, or two for an interaction
  std::vector<Column> columns;
};

void check(std::span<const double> y, const std::vector<Factor>& factors) {
  require_finite(y, "of y");
  for (const Factor& factor : factors) {
    if (factor.level_of.size() != y.size()) {
      throw Error("factor '" + factor.name + "' has " + std::to_string(factor.level_of.size()) +
                  " levels for " + std::to_string(y.size()) + " observations");
    }
  }
}

void check_weights(std::span<const double> weights, std::size_t n) {
  if (!weights.empty() && weights.size() != n) {
    throw Error(std::to_string(weights.size()) + " weights for " + std::to_string(n) +
                " observations");
  }
  for (const double weight : weights) {
    require_positive(weight, "a weight");
  }
}

void check(const std::vector<Interaction>& interactions, std::size_t factors) {
  for (const auto& [first, second] : interactions) {
    if (first == second || first >= factors || second >= factors) {
      throw Error("an interaction names two different factors of the design");
    }
  }
}

/// The levels in the order of their first appearance.
std::vector<std::string> levels_of(const Factor& factor) {
  std::vector<std::string> levels;
  for (const std::string& level : factor.level_of) {
    if (std::find(levels.begin(), levels.end(), level) == levels.end()) {
      levels.push_back(level);
    }
  }
  return levels;
}

Column indicator(const Factor& factor, const std::string& level) {
  Column column{factor.name + " " + level, {}};
  for (const std::string& observed : factor.level_of) {
    column.values.push_back(observed == level ? 1 : 0);
  }
  return column;
}

Term factor_term(const std::vector<Factor>& factors, std::size_t index) {
  Term term{factors[index].name, {index}, {}};
  const std::vector<std::string> levels = levels_of(factors[index]);
  for (std::size_t i = 1; i < levels.size(); ++i) {
    term.columns.push_back(indicator(factors[index], levels[i]));
  }
  return term;
}

Column product(const Column& first, const Column& second) {
  Column column{first.name + " x " + second.name, first.values};
  for (std::size_t i = 0; i < column.values.size(); ++i) {
    column.values[i] *= second.values[i];
  }
  return column;
}

Term interaction_term(const Term& first, const Term& second) {
  Term term{first.name + " x " + second.name, {first.factors[0], second.factors[0]}, {}};
  for (const Column& one : first.columns) {
    for (const Column& other : second.columns) {
      term.columns.push_back(product(one, other));
    }
  }
  return term;
}

std::vector<Term> terms_of(const std::vector<Factor>& factors,
                           const std::vector<Interaction>& interactions) {
  std::vector<Term> terms;
  for (std::size_t i = 0; i < factors.size(); ++i) {
    terms.push_back(factor_term(factors, i));
  }
  for (const auto& [first, second] : interactions) {
    terms.push_back(interaction_term(terms[first], terms[second]));
  }
  return terms;
}

/// The observations less their first, then less the mean of that, so that leading digits that all
/// share cost nothing; each by the root of its weight.
struct Observed {
  std::vector<double> values;
  std::vector<double> roots;
  double mean;  ///< weighted
};

std::vector<double> roots_of(std::span<const double> weights, std::size_t n) {
  std::vector<double> roots(n, 1.0);
  for (std::size_t i = 0; i < weights.size(); ++i) {
    roots[i] = std::sqrt(weights[i]);
  }
  return roots;
}

Observed observe(std::span<const double> y, std::span<const double> weights) {
  Observed result{{}, roots_of(weights, y.size()), 0};
  const double origin = y.front();
  double sum = 0;
  double total_weight = 0;
  for (std::size_t i = 0; i < y.size(); ++i) {
    const double weight = result.roots[i] * result.roots[i];
    sum += weight * (y[i] - origin);
    total_weight += weight;
  }
  const double mean = sum / total_weight;
  result.mean = origin + mean;
  for (std::size_t i = 0; i < y.size(); ++i) {
    result.values.push_back(result.roots[i] * ((y[i] - origin) - mean));
  }
  return result;
}

/// The base and the terms' columns, each row by the root of its weight.
std::vector<Column> columns_of(const std::vector<const Term*>& terms,
                               const std::vector<double>& roots) {
  std::vector<Column> columns{{"base", std::vector<double>(roots.size(), 1.0)}};
  for (const Term* term : terms) {
    columns.insert(columns.end(), term->columns.begin(), term->columns.end());
  }
  for (Column& column : columns) {
    for (std::size_t i = 0; i < roots.size(); ++i) {
      column.values[i] *= roots[i];
    }
  }
  return columns;
}

LeastSquaresFit fit_terms(const std::vector<const Term*>& terms, const Observed& observed) {
  return fit_least_squares(columns_of(terms, observed.roots), observed.values);
}

/// A coefficient as a weighted sum of the observations.
std::vector<double> contrast_of(const LeastSquaresFit& fit, const std::vector<Column>& columns,
                                const std::vector<double>& roots, std::size_t column) {
  std::vector<double> contrast(roots.size(), 0.0);
  for (std::size_t k = 0; k < columns.size(); ++k) {
    const double covariance = fit.unscaled_covariance(column, k);
    for (std::size_t i = 0; i < roots.size(); ++i) {
      contrast[i] += roots[i] * columns[k].values[i] * covariance;
    }
  }
  return contrast;
}

bool contains(const Term& outer, const Term& inner) {
  return std::all_of(inner.factors.begin(), inner.factors.end(), [&](std::size_t factor) {
    return std::find(outer.factors.begin(), outer.factors.end(), factor) != outer.factors.end();
  });
}

/// What the term explains beyond all terms that do not contain it.
VarianceTerm variance_term(const Term& term, const std::vector<Term>& terms,
                           const LeastSquaresFit& whole, const Observed& observed) {
  std::vector<const Term*> others;
  for (const Term& other : terms) {
    if (!contains(other, term)) {
      others.push_back(&other);
    }
  }
  const LeastSquaresFit without = fit_terms(others, observed);
  others.push_back(&term);
  const LeastSquaresFit with = fit_terms(others, observed);

  VarianceTerm row{term.name, with.rank() - without.rank(), 0, {}, {}, {}};
  if (row.dof == 0) {
    return row;
  }
  const auto dof = static_cast<double>(row.dof);
  row.sum_of_squares =
      std::max(0.0, without.residual_sum_of_squares() - with.residual_sum_of_squares());
  row.mean_square = row.sum_of_squares / dof;
  const auto sd = whole.residual_sd();
  if (sd && *sd > 0) {
    row.f = *row.mean_square / (*sd * *sd);
    row.p = fisher_upper_tail(*row.f, dof, static_cast<double>(whole.residual_dof()));
  }
  return row;
}

std::vector<std::string> column_names(const std::vector<const Term*>& terms) {
  std::vector<std::string> names{"base"};
  for (const Term* term : terms) {
    for (const Column& column : term->columns) {
      names.push_back(column.name);
    }
  }
  return names;
}

std::vector<Confounding> confoundings(const std::vector<const Term*>& terms,
                                      const LeastSquaresFit& fit) {
  std::vector<Confounding> result;
  for (const Term* term : terms) {
    if (term->columns.empty() && term->factors.size() == 1) {
      result.push_back({term->name, {}});
    }
  }
  const std::vector<std::string> names = column_names(terms);
  for (const Alias& alias : fit.aliases()) {
    Confounding confounding{names[alias.column], {}};
    for (const std::size_t other : alias.with) {
      if (other != 0) {
        confounding.with.push_back(names[other]);
      }
    }
    result.push_back(std::move(confounding));
  }
  return result;
}

double total_sum_of_squares(std::span<const double> centred_y) {
  double sum = 0;
  for (const double value : centred_y) {
    sum += value * value;
  }
  return sum;
}

std::vector<const Term*> pointers_to(const std::vector<Term>& terms) {
  std::vector<const Term*> pointers;
  pointers.reserve(terms.size());
  for (const Term& term : terms) {
    pointers.push_back(&term);
  }
  return pointers;
}

Effect effect_of(const Factor& factor, const std::string& level, const std::string& reference,
                 const LeastSquaresFit& fit, std::size_t column, double confidence) {
  Effect effect{
      factor.name,
      level,
      reference,
      static_cast<std::size_t>(std::count(factor.level_of.begin(), factor.level_of.end(), level)),
      {},
      {},
      {},
      {}};
  if (!fit.estimable(column)) {
    return effect;
  }
  effect.estimate = fit.coefficient(column);
  effect.standard_error = fit.standard_error(column);
  if (effect.standard_error) {
    const double reach =
        *effect.standard_error *
        student_two_sided_factor(confidence, static_cast<double>(fit.residual_dof()));
    effect.interval = Interval{*effect.estimate - reach, *effect.estimate + reach, confidence};
  }
  return effect;
}

}  // namespace

std::string sentence(const Confounding& confounding) {
  if (confounding.with.empty()) {
    return "The design says nothing about '" + confounding.effect +
           "': it holds nothing to compare.";
  }
  std::string others;
  for (const std::string& other : confounding.with) {
    others += (others.empty() ? "'" : ", '") + other + "'";
  }
  return "The design cannot tell '" + confounding.effect + "' from " + others + ".";
}

std::optional<VarianceAnalysis> analyse_variance(std::span<const double> y,
                                                 const std::vector<Factor>& factors,
                                                 const std::vector<Interaction>& interactions,
                                                 std::span<const double> weights) {
  check(y, factors);
  check_weights(weights, y.size());
  check(interactions, factors.size());
  if (y.empty() || factors.empty()) {
    return std::nullopt;
  }
  const Observed observed = observe(y, weights);
  const std::vector<Term> terms = terms_of(factors, interactions);
  const LeastSquaresFit whole = fit_terms(pointers_to(terms), observed);
  VarianceAnalysis analysis{{},
                            whole.residual_dof(),
                            whole.residual_sum_of_squares(),
                            whole.residual_sd(),
                            std::nullopt,
                            confoundings(pointers_to(terms), whole)};
  for (const Term& term : terms) {
    analysis.terms.push_back(variance_term(term, terms, whole, observed));
  }
  const double total = total_sum_of_squares(observed.values);
  if (total > 0) {
    analysis.r_squared = 1 - analysis.residual_sum_of_squares / total;
  }
  return analysis;
}

std::optional<AdditiveModel> fit_additive_model(std::span<const double> y,
                                                const std::vector<Factor>& factors, double level,
                                                std::span<const double> weights) {
  require_share(level, "level of confidence");
  check(y, factors);
  check_weights(weights, y.size());
  if (y.empty() || factors.empty()) {
    return std::nullopt;
  }
  const Observed observed = observe(y, weights);
  const std::vector<Term> terms = terms_of(factors, {});
  const std::vector<Column> columns = columns_of(pointers_to(terms), observed.roots);
  const LeastSquaresFit fit = fit_least_squares(columns, observed.values);
  AdditiveModel model{
      {}, {}, fit.residual_dof(), fit.residual_sd(), confoundings(pointers_to(terms), fit)};
  if (fit.estimable(0)) {
    model.base = observed.mean + *fit.coefficient(0);
  }
  std::size_t column = 1;
  for (const Factor& factor : factors) {
    const std::vector<std::string> levels = levels_of(factor);
    for (std::size_t i = 1; i < levels.size(); ++i, ++column) {
      Effect effect = effect_of(factor, levels[i], levels[0], fit, column, level);
      if (effect.estimate) {
        effect.contrast = contrast_of(fit, columns, observed.roots, column);
      }
      model.effects.push_back(std::move(effect));
    }
  }
  return model;
}

}  // namespace thumblight::statistics
