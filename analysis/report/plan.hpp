#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "analysis/statistics/planning.hpp"

/// How many presses a session takes, or what a number of presses carries.
namespace thumblight::report {

/// The harness' own gap between two flashes by default: how long the patch stays lit, and how long
/// it then stays dark (its options --hold-ms and --rest-ms).
inline constexpr double kHoldMs = 150;
inline constexpr double kRestMs = 300;
/// How often somebody presses who waits an uneven second or two; no source, our own supposition.
inline constexpr double kUnhurriedPressS = 1.5;

/// More than this nobody presses: four hours and more. No source, our own supposition.
inline constexpr std::size_t kMostSensiblePresses = 10'000;

/// A first measurement that a plan rests on.
struct Pilot {
  std::string name;     ///< of the file, as given
  std::string portion;  ///< that the figures are of
  std::size_t n = 0;
  double sd_ms = 0;         ///< of one press, or what its instants leave open where that is more
  double lasting_u_ms = 0;  ///< of its mean: the parts of its budget that no presses lessen
};

enum class PlanQuestion {
  kHalfWidth,   ///< presses for the mean's interval
  kDifference,  ///< presses for telling two set-ups apart
  kPresses      ///< what so many presses carry
};

struct PlanRequest {
  statistics::ScatterSources sources;  ///< without the pilot
  std::optional<Pilot> pilot;          ///< then the sources are empty
  double lasting_u_ms = 0;             ///< of one mean; the pilot's comes on top
  PlanQuestion question = PlanQuestion::kHalfWidth;
  double wanted_ms = 0;     ///< half-width or difference
  std::size_t presses = 0;  ///< for kPresses
  double power = 0.9;
};

/// One reason why presses differ.
struct SpreadSource {
  std::string what;
  std::string how;  ///< how the SD follows from what was said; empty where it was said itself
  double sd_ms;     ///< of one press
};

/// A change that makes the wish cheaper.
struct Remedy {
  std::string what;
  std::size_t presses;
};

struct Plan {
  PlanRequest request;
  std::vector<SpreadSource> sources;
  double sd_ms = 0;         ///< of one press, all sources together
  double lasting_u_ms = 0;  ///< of one mean
  double level = 0.95;
  std::optional<std::size_t> presses;   ///< of each set-up; empty where the wish is out of reach
  std::optional<double> half_width_ms;  ///< of the mean, that these presses carry
  std::optional<double> difference_ms;  ///< that these presses of each of two set-ups resolve
  double least_half_width_ms = 0;       ///< that no number of presses goes below
  double least_difference_ms = 0;       ///< likewise; the lasting parts of both taken as unrelated
  /// The spread with which kMostSensiblePresses would do; empty where they do as it is, and where
  /// what lasts is in the way.
  std::optional<double> bearable_sd_ms;
  double least_session_s = 0;  ///< at the harness' own gap, all set-ups together; 0 if out of reach
  double unhurried_session_s = 0;
  std::vector<Remedy> remedies;  ///< what takes a quarter fewer presses, or makes it possible with
                                 ///< kMostSensiblePresses at most
};

/// Throws `Error` if nothing is known of the spread.
Plan make_plan(const PlanRequest& request);

}  // namespace thumblight::report
