#pragma once

#include <string>

#include "analysis/report/campaign.hpp"

/// A set-up's numbers in words, the same in every table.
namespace thumblight::report {

/// "41.2 ± 0.8", "2 to 9" where there are but bounds ("2 to 9*" where they are carried over), "-"
/// where nothing is known. `plus_minus` stands between a mean and its half-width.
std::string mean_text(const PortionMean& mean, const char* plus_minus = "±");

/// "3", or "2-4" where it is tied; "-" without one.
std::string rank_text(const std::optional<RankRange>& rank);

/// Whether a table of the campaign shows bounds that are carried over.
bool any_carried(const Campaign& campaign);

}  // namespace thumblight::report
