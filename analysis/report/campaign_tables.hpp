#pragma once

#include <string>

#include "analysis/report/campaign.hpp"

/// The table of set-ups for other programs.
namespace thumblight::report {

/// One line a set-up, in the campaign's order. For each portion: mean, standard deviation of the
/// presses, and lower and upper limit, which are those of the mean's 95 % interval where `_is` says
/// "mean", and bounds of the mean where it says "bounds" or "carried-bounds".
std::string encode_campaign_csv(const Campaign& campaign);

/// The same as a table of GitHub-flavoured Markdown, each number rounded to what its uncertainty
/// carries. Names are escaped: they can neither leave their cell nor be taken for markup.
std::string encode_campaign_markdown(const Campaign& campaign);

/// A text that somebody else wrote, as it stands in a cell of Markdown.
std::string markdown_text(const std::string& text);

}  // namespace thumblight::report
