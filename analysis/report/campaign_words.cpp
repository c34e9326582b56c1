#include "analysis/report/campaign_words.hpp"

#include "analysis/report/numbers.hpp"

namespace thumblight::report {

std::string mean_text(const PortionMean& mean, const char* plus_minus) {
  if (mean.mean_ms) {
    const double half_width = mean.interval ? mean.interval->half_width() : 0;
    if (half_width <= 0) {
      return fixed(*mean.mean_ms, 1);
    }
    const int decimals = decimals_for(half_width);
    return fixed(*mean.mean_ms, decimals) + ' ' + plus_minus + ' ' + fixed(half_width, decimals);
  }
  if (mean.bounds_ms) {
    return outward(mean.bounds_ms->low_ms, mean.bounds_ms->high_ms) + (mean.carried ? "*" : "");
  }
  return "-";
}

std::string rank_text(const std::optional<RankRange>& rank) {
  if (!rank) {
    return "-";
  }
  return std::to_string(rank->best) + (rank->tied() ? "-" + std::to_string(rank->worst) : "");
}

bool any_carried(const Campaign& campaign) {
  for (const SetUp& set_up : campaign.set_ups) {
    for (const timing::Portion portion : kTablePortions) {
      if (set_up.portions[portion].carried) {
        return true;
      }
    }
  }
  return false;
}

}  // namespace thumblight::report
