#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace thumblight::statistics {

enum class OutlierKind {
  kMild,    ///< outside an inner fence, within the outer one
  kExtreme  ///< outside an outer fence
};

struct Outlier {
  std::size_t index;  ///< among the values as given, from 0
  double value;
  OutlierKind kind;
};

/// Tukey's fences, in the unit of the values.
struct Fences {
  double lower_outer;
  double lower_inner;
  double upper_inner;
  double upper_outer;
};

struct OutlierReport {
  Fences fences;
  std::vector<Outlier> outliers;  ///< in the order of the values
};

/// Flags, and never drops, what lies more than 1.5 (mild) or 3 (extreme) interquartile ranges
/// outside the quartiles: NIST/SEMATECH e-Handbook 7.1.6, which draws these fences; quartiles here
/// of type 7. A coarse instrument can give quartiles that coincide, and then everything beside them
/// would be flagged: the range is taken as no less than `resolution` (same unit as the values; one
/// camera frame). Absent below four values, a quarter of which is less than one value.
std::optional<OutlierReport> flag_outliers(std::span<const double> values, double resolution = 0);

}  // namespace thumblight::statistics
