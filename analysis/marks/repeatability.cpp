#include "analysis/marks/repeatability.hpp"

#include <cmath>

namespace thumblight::marks {
namespace {

/// Sum of squares about the mean (Welford).
double squares_about_mean(const std::vector<double>& values) {
  double n = 0;
  double mean = 0;
  double squares = 0;
  for (const double value : values) {
    n += 1;
    const double off = value - mean;
    mean += off / n;
    squares += off * (value - mean);
  }
  return squares;
}

}  // namespace

std::optional<onset::Repeatability> repeatability_of(
    const std::vector<std::vector<double>>& times_s) {
  onset::Repeatability found;
  double squares = 0;
  for (const std::vector<double>& of_one : times_s) {
    if (of_one.size() > 1) {
      squares += squares_about_mean(of_one);
      found.dof += static_cast<double>(of_one.size() - 1);
      ++found.instants;
    }
  }
  if (found.instants == 0) {
    return std::nullopt;
  }
  found.sd_s = std::sqrt(squares / found.dof);
  return found;
}

}  // namespace thumblight::marks
