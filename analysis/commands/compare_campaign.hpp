#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "analysis/commands/campaign_table.hpp"
#include "analysis/commands/verbs.hpp"

namespace thumblight::commands {

/// What is to be shown of a campaign.
struct CampaignOptions {
  std::string sort = "total";      ///< a portion or a label
  std::vector<std::string> where;  ///< KEY=VALUE, all of which must hold
  std::string out;                 ///< JSON
  TableOptions table;
};

/// Tables the measured sessions of a campaign and says what each part of a set-up adds. Those
/// without a result of their present inputs are named and left out. Throws `Error` where none is
/// left.
void compare_campaign(const std::filesystem::path& campaign, const CampaignOptions& options,
                      const Streams& streams);

}  // namespace thumblight::commands
