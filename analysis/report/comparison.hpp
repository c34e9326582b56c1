#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "analysis/report/carried_screen.hpp"
#include "analysis/report/compared_session.hpp"
#include "analysis/report/shared_parts.hpp"
#include "analysis/statistics/comparison.hpp"
#include "analysis/statistics/verdict.hpp"
#include "analysis/timing/portions.hpp"

/// Whether set-ups differ, portion by portion: the one record that terminal and JSON read. Every
/// difference is A less B, so it is negative where A answers sooner.
namespace thumblight::report {

/// A portion that is known press by press in both.
struct PortionDifference {
  std::size_t n_a = 0;
  std::size_t n_b = 0;
  double difference_ms = 0;  ///< of the means
  std::optional<double> sd_a_ms;
  std::optional<double> sd_b_ms;
  statistics::Comparison samples;  ///< what the presses' scatter alone says
  std::vector<SharedPart> shared;
  /// What the instants leave open beyond the presses' scatter: where presses scatter less than the
  /// instants of one are uncertain, they may be wrong alike. Standard uncertainty; often 0.
  double unseen_u_ms = 0;
  bool instants_stated = true;       ///< false if a session states no uncertainty of its instants
  std::optional<double> adjusted_p;  ///< after Holm, over all pairs; empty for a single pair
  /// Empty where nothing says how far the difference may be off: presses without any scatter, and
  /// no uncertainty stated.
  std::optional<statistics::Verdict> verdict;

  /// Difference and all that scatter and instruments leave open; empty for one press of either.
  std::optional<statistics::Interval> interval() const;
};

/// Two set-ups, by their places in ComparisonResult::sessions.
struct PairComparison {
  std::size_t a = 0;
  std::size_t b = 0;
  timing::PerPortion<std::optional<PortionDifference>> differences;
  /// Bounds of the difference of the means, where a session has but bounds. An interval of 95 %
  /// stands for a session that has values.
  timing::PerPortion<std::optional<timing::Bounds>> bounds_ms;
  bool same_criterion = true;  ///< light counts from the same share of the step, as far as is known
  /// Why the difference of the remainders is not that of the deliveries; empty where it is.
  std::vector<std::string> screen_differences;

  /// Of two deliveries by way of the remainders, supposing that the screen portion is the same in
  /// both; null where the logs do not carry that, or the remainder is not known.
  const PortionDifference* delivery_by_remainder() const;
};

struct ComparisonResult {
  std::vector<ComparedSession> sessions;
  std::vector<PairComparison> pairs;
  std::vector<ScreenGroup> screens;  ///< sessions that share the screen portion
  double level = 0.95;
};

/// Compares all pairs. With more than two sessions, the probabilities of each portion are adjusted
/// after Holm over its pairs. Throws `Error` for fewer than two sessions.
ComparisonResult compare_sessions(std::vector<ComparedSession> sessions);

/// The place of a session as a letter: A to Z, then AA.
std::string letter(std::size_t place);

}  // namespace thumblight::report
