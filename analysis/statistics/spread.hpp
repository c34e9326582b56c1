#pragma once

#include <optional>
#include <span>
#include <vector>

namespace thumblight::statistics {

/// Whether samples differ in spread.
struct SpreadTest {
  double w;            ///< the test statistic, of Fisher's F
  double dof_between;  ///< groups - 1
  double dof_within;   ///< values - groups
  double p;            ///< probability of such a w, or a greater one, if the spreads are equal
};

/// Brown and Forsythe's test: Levene's test on the distances from each group's median
/// (NIST/SEMATECH e-Handbook 1.3.5.10). Absent below two groups, with an empty group, with no more
/// values than groups, or where the distances within the groups do not vary at all.
std::optional<SpreadTest> brown_forsythe_test(const std::vector<std::span<const double>>& groups);

}  // namespace thumblight::statistics
