#include "analysis/report/campaign_tables.hpp"

#include <string_view>

#include "analysis/report/campaign_words.hpp"
#include "analysis/report/csv.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/session_names.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

std::vector<std::string> heading(const Campaign& campaign) {
  std::vector<std::string> cells = {"session", "set_up", "clock_link", "rank_best", "rank_worst"};
  for (const std::string& key : campaign.labels) {
    cells.push_back(csv_text("label " + key));
  }
  for (const Portion portion : timing::kPortions) {
    const std::string name_of = name(portion);
    for (const char* column : {"_n", "_ms", "_sd_ms", "_low_ms", "_high_ms", "_is"}) {
      cells.push_back(name_of + column);
    }
  }
  cells.emplace_back("warnings");
  return cells;
}

void add_portion(std::vector<std::string>& cells, const PortionMean& mean) {
  cells.push_back(mean.mean_ms ? std::to_string(mean.n) : "");
  cells.push_back(csv_ms(mean.mean_ms));
  cells.push_back(csv_ms(mean.sd_ms));
  if (mean.interval) {
    cells.push_back(csv_ms(mean.interval->low));
    cells.push_back(csv_ms(mean.interval->high));
  } else if (mean.bounds_ms) {
    cells.push_back(csv_ms(mean.bounds_ms->low_ms));
    cells.push_back(csv_ms(mean.bounds_ms->high_ms));
  } else {
    cells.insert(cells.end(), {"", ""});
  }
  cells.emplace_back(mean.mean_ms      ? "mean"
                     : !mean.bounds_ms ? ""
                     : mean.carried    ? "carried-bounds"
                                       : "bounds");
}

std::vector<std::string> row(const Campaign& campaign, const SetUp& set_up) {
  std::vector<std::string> cells = {csv_text(folder_name(set_up.path)), csv_text(set_up.name),
                                    name(set_up.clock_link),
                                    set_up.rank ? std::to_string(set_up.rank->best) : "",
                                    set_up.rank ? std::to_string(set_up.rank->worst) : ""};
  for (const std::string& key : campaign.labels) {
    const auto found = set_up.labels.find(key);
    cells.push_back(found == set_up.labels.end() ? "" : csv_text(found->second));
  }
  for (const Portion portion : timing::kPortions) {
    add_portion(cells, set_up.portions[portion]);
  }
  cells.push_back(std::to_string(set_up.warnings));
  return cells;
}

std::string markdown_row(const SetUp& set_up) {
  std::string line = "| " + rank_text(set_up.rank) + " | " + markdown_text(set_up.name) + " | " +
                     std::to_string(set_up.n);
  for (const Portion portion : kTablePortions) {
    line += " | " + markdown_text(mean_text(set_up.portions[portion]));
  }
  return line + " |\n";
}

}  // namespace

std::string encode_campaign_csv(const Campaign& campaign) {
  std::string text = csv_line(heading(campaign));
  for (const SetUp& set_up : campaign.set_ups) {
    text += csv_line(row(campaign, set_up));
  }
  return text;
}

std::string encode_campaign_markdown(const Campaign& campaign) {
  std::string text =
      "| rank | set-up | presses | total, ms | delivery, ms | render, ms | screen, ms |\n"
      "| ---: | --- | ---: | ---: | ---: | ---: | ---: |\n";
  for (const SetUp& set_up : campaign.set_ups) {
    text += markdown_row(set_up);
  }
  text +=
      "\nMean ± half of its 95 % interval, instruments included; \"low to high\": bounds of the "
      "mean. A range of ranks: not resolved.\n";
  if (any_carried(campaign)) {
    text += "\n\\*: bounds that rest on what sessions with the same screen lend each other.\n";
  }
  return text;
}

std::string markdown_text(const std::string& text) {
  constexpr std::string_view kMarkup = "\\`*_{}[]()#+!|~=@:";
  std::string safe;
  for (const char c : printable(text)) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      default:
        safe +=
            kMarkup.find(c) == std::string_view::npos ? std::string(1, c) : std::string("\\") + c;
    }
  }
  return safe;
}

}  // namespace thumblight::report
