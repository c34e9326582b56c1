#pragma once

#include <string>

#include "analysis/report/campaign.hpp"

namespace thumblight::report {

inline constexpr char kCampaignFormat[] = "thumblight-campaign";
inline constexpr int kCampaignVersion = 1;

/// The campaign as JSON: milliseconds, one set-up a line, in the campaign's order; what is unknown
/// is `null`.
std::string encode_campaign_json(const Campaign& campaign);

}  // namespace thumblight::report
