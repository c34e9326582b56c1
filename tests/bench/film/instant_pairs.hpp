#pragma once

#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <vector>

#include "tests/bench/pixel_observer.hpp"

namespace thumblight::bench {

/// Share of what an instant may be that lies within 2 of the standard uncertainties that timings
/// state, whatever its distribution.
inline constexpr double kHeldByTwoU = 0.9545;

/// One instant of one press: how far the film's is from the observer's, and how uncertain each is.
struct InstantPair {
  double error_ms = 0;   ///< film - observer
  double stated_ms = 0;  ///< standard uncertainty that the film's timings state
  double seen_u_ms = 0;  ///< standard uncertainty of the observer's

  double u_ms() const;
  /// Whether the error is larger than a rectangular distribution is wide of which 2 u hold 95.45 %,
  /// as the timings state u, with a tenth more for the clocks, `picture_ms`, which it takes to copy
  /// a picture: what is drawn meanwhile has no instant finer than that, and twice `shared_u_ms`,
  /// the standard uncertainty that they state of all such instants alike.
  bool is_ill_timed(double picture_ms, double shared_u_ms) const;
};

/// The pairs of one kind of instant, `event` in timings.json, of the presses that have it; there
/// must be one for each that was seen. `first_ns` is the host's time of the film's time 0.
std::vector<InstantPair> pairs_of(const nlohmann::json& timings, const char* event,
                                  const std::vector<std::optional<LevelChange>>& seen,
                                  std::int64_t first_ns);

/// Of one of the values, such as `&InstantPair::error_ms`.
double mean_of(const std::vector<InstantPair>& pairs, double InstantPair::*value);
double mean_square_of(const std::vector<InstantPair>& pairs, double InstantPair::*value);

/// Standard uncertainty of the mean error, by what is stated of each: a rectangular distribution of
/// which 2 u hold 95.45 % has a standard deviation of 1.21 u, and a mean scatters by that.
double u_of_mean_ms(const std::vector<InstantPair>& pairs);

}  // namespace thumblight::bench
