#pragma once

#include "analysis/report/result.hpp"

namespace thumblight::report {

/// To how many decimals the values of a portion are written: by the expanded uncertainty of its
/// mean; of one press, by its own; one decimal where neither is known.
int decimals_of(const PortionResult& portion);

}  // namespace thumblight::report
