#include "analysis/report/portion_digits.hpp"

#include "analysis/report/numbers.hpp"

namespace thumblight::report {

int decimals_of(const PortionResult& portion) {
  constexpr int kDecimalsUnknown = 1;
  const double u_ms =
      portion.mean_interval ? portion.mean_interval->half_width() : portion.value_u_ms.value_or(0);
  return u_ms > 0 ? decimals_for(u_ms) : kDecimalsUnknown;
}

}  // namespace thumblight::report
