#pragma once

#include <cstddef>
#include <utility>
#include <vector>

namespace thumblight::onset {

/// How the lights of a recording lie against the flashes of a log.
struct ScheduleFit {
  std::vector<std::pair<std::size_t, std::size_t>> pairs;  ///< flash, light
  double offset_s = 0;                                     ///< host = offset + rate * recording
  double rate = 1;       ///< host seconds for one recording second
  double rate_u = 0;     ///< standard uncertainty
  double scatter_s = 0;  ///< standard deviation of the pairs about the line
};

/// Lays `light_s` (recording) against `flash_s` (host), both rising, so that as many as possible
/// fall together. `rate` is a first guess, good to a percent or two.
ScheduleFit fit_schedule(const std::vector<double>& flash_s, const std::vector<double>& light_s,
                         double rate);

}  // namespace thumblight::onset
