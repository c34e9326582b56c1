#pragma once

#include <cstddef>

namespace thumblight::statistics {

/// The few distribution functions that the rest of this folder needs, by Boost.Math.
/// Degrees of freedom are above zero and may be fractional or infinite (infinite: the normal).
/// Probabilities lie strictly between 0 and 1.

/// The value z below which a standard normal variable lies with probability p.
double normal_quantile(double p);

/// The probability that a standard normal variable is at most z.
double normal_cdf(double z);

/// The probability that a standard normal variable is above z; keeps its digits far out.
double normal_upper_tail(double z);

/// The value below which Student's t with `dof` lies with probability p.
double student_quantile(double p, double dof);

/// The factor k for which Student's t with `dof` lies within -k to k with probability `level`.
double student_two_sided_factor(double level, double dof);

/// The probability that |t| is reached or passed by Student's t with `dof`.
double student_two_sided_p(double t, double dof);

/// The probability that the noncentral t with `dof` and noncentrality `delta` is at most t.
double noncentral_t_cdf(double t, double dof, double delta);

/// The value below which Fisher's F lies with probability p.
double fisher_quantile(double p, double dof_above, double dof_below);

/// The probability that Fisher's F with these degrees of freedom is at least f.
double fisher_upper_tail(double f, double dof_above, double dof_below);

/// The probability of at most k heads in n throws of a fair coin.
double fair_binomial_cdf(std::size_t k, std::size_t n);

}  // namespace thumblight::statistics
