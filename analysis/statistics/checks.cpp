#include "analysis/statistics/checks.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

constexpr double kLargest = 1e100;

bool usable(double value) {
  return std::abs(value) <= kLargest;
}

}  // namespace

void require_finite(std::span<const double> values, std::string_view what) {
  const auto bad = std::find_if_not(values.begin(), values.end(), usable);
  if (bad == values.end()) {
    return;
  }
  throw Error("value " + std::to_string(bad - values.begin() + 1) + " of " +
              std::to_string(values.size()) + " (" + std::string(what) +
              ") is no number to reckon with; leave out what was not measured");
}

void require_share(double share, std::string_view what) {
  if (!(share > 0 && share < 1)) {
    throw Error("the " + std::string(what) + " must lie between 0 and 1, such as 0.95");
  }
}

void require_positive(double value, std::string_view what) {
  if (!(usable(value) && value > 0)) {
    throw Error("the " + std::string(what) + " must be a finite number above zero");
  }
}

void require_not_negative(double value, std::string_view what) {
  if (!(usable(value) && value >= 0)) {
    throw Error("the " + std::string(what) + " must be a finite number, zero or more");
  }
}

}  // namespace thumblight::statistics
