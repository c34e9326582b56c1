#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "analysis/statistics/spread_interval.hpp"
#include "analysis/timing/split.hpp"

/// How much each portion varies, and what regular structure that has; both known without the offset
/// between the clocks.
namespace thumblight::report {

/// The portions that add up to the total.
inline constexpr std::array kVaryingPortions = {timing::Portion::kDelivery,
                                                timing::Portion::kRender, timing::Portion::kScreen};

/// The list of kinds is closed.
enum class StructureKind {
  kPolling,       ///< arrivals lie on a grid, and delivery varies by the wait for it
  kPressSteps,    ///< arrivals lie on a grid because the presses do: delivery varies by far less
  kGrid,          ///< arrivals lie on a grid; the camera does not tell which of both it is
  kRefreshGrid,   ///< arrivals lie on the refresh, or on every second one
  kClockStep,     ///< all stamps of the host lie on a grid
  kTwoClusters,   ///< a portion falls into two groups
  kRefreshPhase,  ///< screen goes with the submit's place in the refresh
};

const char* name(StructureKind kind);

struct Structure {
  StructureKind kind = StructureKind::kPolling;
  timing::Portion portion = timing::Portion::kDelivery;  ///< in which it is seen
  double size_ms = 0;            ///< interval of a grid, distance of groups, from trough to crest
  std::optional<double> u_ms;    ///< standard uncertainty of an interval
  std::optional<double> share;   ///< of the presses in the lesser group; of the variance explained
  std::optional<double> chance;  ///< that data without it show it, at most
  bool is_above = true;          ///< two groups alone: the lesser is the later one
  bool is_missed_frame = false;  ///< two groups alone: they lie about one refresh apart
};

struct Variation {
  timing::PerPortion<std::optional<statistics::SpreadInterval>> spread;
  std::vector<Structure> structure;
};

/// Empty without a log.
std::optional<Variation> find_variation(const timing::Split& split);

/// The regular structure of a split whose spreads are known.
std::vector<Structure> find_structure(
    const timing::Split& split,
    const timing::PerPortion<std::optional<statistics::SpreadInterval>>& spread);

/// In words: how much each portion varies and which makes the jitter, a sentence each; and the
/// structure.
std::vector<std::string> sentences(const Variation& variation);
std::string sentence(const Structure& structure);

/// The values of a portion that are known about their median: of delivery and screen under any
/// link, of render always.
std::vector<double> varying_ms(const timing::Split& split, timing::Portion portion);

}  // namespace thumblight::report
