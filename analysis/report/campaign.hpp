#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "analysis/report/attribution.hpp"
#include "analysis/report/compared_session.hpp"
#include "analysis/report/ranking.hpp"
#include "analysis/timing/clock_link.hpp"
#include "analysis/timing/portions.hpp"

/// All set-ups of a campaign beside each other: the one record that every table of them reads.
namespace thumblight::report {

/// The portions that a table of set-ups shows.
inline constexpr std::array kTablePortions = {timing::Portion::kTotal, timing::Portion::kDelivery,
                                              timing::Portion::kRender, timing::Portion::kScreen};

/// The mean of a portion, or its bounds, or neither.
struct PortionMean {
  std::size_t n = 0;  ///< presses with a value
  std::optional<double> mean_ms;
  std::optional<statistics::Interval> interval;  ///< 95 %, instruments included
  std::optional<double> sd_ms;
  std::optional<timing::Bounds> bounds_ms;  ///< of the mean, where that is not known
  bool carried = false;  ///< the bounds rest on what sessions with the same screen lend
};

struct SetUp {
  std::string path;
  std::string name;  ///< `printable`
  std::map<std::string, std::string> labels;
  timing::ClockLinkKind clock_link = timing::ClockLinkKind::kNone;
  std::size_t n = 0;  ///< presses with a total
  timing::PerPortion<PortionMean> portions;
  std::optional<RankRange> rank;
  std::size_t warnings = 0;
};

struct Campaign {
  std::vector<SetUp> set_ups;  ///< as they were asked to be sorted
  timing::Portion ranked = timing::Portion::kTotal;
  std::vector<Attribution> attributions;
  std::vector<std::string> labels;  ///< the keys of all labels, sorted
  double level = 0.95;
};

/// What a table is sorted by: a portion, from the soonest, or a label.
struct SortKey {
  std::optional<timing::Portion> portion = timing::Portion::kTotal;
  std::string label;  ///< where it is no portion
};

/// A portion by its name, else a label; "display" is the label, since the table does not show that
/// portion.
SortKey sort_key(const std::string& text);

/// The table of the sessions, which are ranked by the portion that they are sorted by, by the total
/// where that is a label. Bounds of delivery, screen and display are those that sessions with the
/// same screen leave each other, see carried_screen.hpp. The names of `sessions` are set.
Campaign make_campaign(std::vector<ComparedSession> sessions, const SortKey& sort = {});

}  // namespace thumblight::report
