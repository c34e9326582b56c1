#include "analysis/onset/like_times.hpp"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <cmath>

#include "analysis/onset/quantile.hpp"

namespace thumblight::onset {

bool are_alike(const std::vector<double>& times_s, double within_s, double by_chance) {
  constexpr double kSeldom = 1.0 / 500;
  const double middle_s = quantile_of(times_s, 0.5);
  const auto alike = std::count_if(times_s.begin(), times_s.end(), [&](double time_s) {
    return std::abs(time_s - middle_s) < within_s;
  });
  if (alike == 0) {
    return false;
  }
  const boost::math::binomial chance(static_cast<double>(times_s.size()), std::min(by_chance, 1.0));
  const auto fewer = static_cast<double>(alike - 1);
  return boost::math::cdf(boost::math::complement(chance, fewer)) < kSeldom;
}

}  // namespace thumblight::onset
