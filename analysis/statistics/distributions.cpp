#include "analysis/statistics/distributions.hpp"

#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace thumblight::statistics {

namespace bm = boost::math;

double normal_quantile(double p) {
  return bm::quantile(bm::normal(), p);
}

double normal_cdf(double z) {
  return bm::cdf(bm::normal(), z);
}

double normal_upper_tail(double z) {
  return bm::cdf(bm::complement(bm::normal(), z));
}

double student_quantile(double p, double dof) {
  return std::isinf(dof) ? normal_quantile(p) : bm::quantile(bm::students_t(dof), p);
}

double student_two_sided_factor(double level, double dof) {
  const double tail = (1 - level) / 2;
  return std::isinf(dof) ? bm::quantile(bm::complement(bm::normal(), tail))
                         : bm::quantile(bm::complement(bm::students_t(dof), tail));
}

double student_two_sided_p(double t, double dof) {
  const double size = std::abs(t);
  return 2 * (std::isinf(dof) ? normal_upper_tail(size)
                              : bm::cdf(bm::complement(bm::students_t(dof), size)));
}

double noncentral_t_cdf(double t, double dof, double delta) {
  return bm::cdf(bm::non_central_t(dof, delta), t);
}

double fisher_quantile(double p, double dof_above, double dof_below) {
  return bm::quantile(bm::fisher_f(dof_above, dof_below), p);
}

double fisher_upper_tail(double f, double dof_above, double dof_below) {
  return bm::cdf(bm::complement(bm::fisher_f(dof_above, dof_below), f));
}

double fair_binomial_cdf(std::size_t k, std::size_t n) {
  return bm::cdf(bm::binomial(static_cast<double>(n), 0.5), static_cast<double>(k));
}

}  // namespace thumblight::statistics
