#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "analysis/timing/clock_link.hpp"
#include "analysis/timing/portions.hpp"

/// How often the stated intervals hold the truth, over many sessions.
namespace thumblight::test {

struct Count {
  int covered = 0;
  int n = 0;
  double share() const { return n > 0 ? static_cast<double>(covered) / n : 0; }
};

struct Coverage {
  int sessions = 0;
  int refused = 0;  ///< sessions whose clock link would not serve
  std::map<std::string, timing::PerPortion<Count>> by_link;  ///< 95 % intervals of the means
  std::map<std::string, timing::PerPortion<Count>> by_presses;
  std::map<std::string, timing::PerPortion<Count>> by_jitter;
  timing::PerPortion<Count> bounds;  ///< causality: bounds that hold the session's own mean
  int contradictions = 0;            ///< sessions in which no clock is possible
  double bounds_width_ms = 0;        ///< of delivery, mean
  double least_width_ms = 0;         ///< what exact instants and a known rate would leave, mean
};

/// Runs that many sessions over clock links, press counts from 5 to 200, shapes of jitter, ways of
/// reading and drifts of up to 200 ppm.
Coverage cover(int sessions, std::uint64_t seed);

}  // namespace thumblight::test
