#include "analysis/report/terminal_campaign.hpp"

#include <algorithm>

#include "analysis/report/campaign_words.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/text_columns.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

constexpr std::size_t kRankWidth = 9;
constexpr std::size_t kCountWidth = 6;
constexpr std::size_t kMeanWidth = 15;
constexpr std::size_t kWideColumns = kRankWidth + kCountWidth + kMeanWidth * kTablePortions.size();
constexpr std::size_t kPortionWidth = 10;

struct Page {
  std::size_t columns;
  TerminalStyle style;
  double full_ms;  ///< the longest bar's

  bool wide() const { return columns >= kWideColumns; }
  const char* plus_minus() const { return style.ascii ? "+-" : "±"; }
};

std::string plain(const std::string& text, const Page& page) {
  if (!page.style.ascii) {
    return text;
  }
  std::string ascii;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x80) {
      ascii += c;
    } else if ((byte & 0xC0) != 0x80) {
      ascii += '?';
    }
  }
  return ascii;
}

std::string indented(const std::string& text) {
  return std::string(kRankWidth, ' ') + text + '\n';
}

std::string named(const SetUp& set_up, const Page& page) {
  return ranged_left(rank_text(set_up.rank), kRankWidth - 1) + ' ' +
         wrap(plain(set_up.name, page), page.columns - kRankWidth, kRankWidth);
}

std::string wide_numbers(const SetUp& set_up, const Page& page) {
  std::string line =
      std::string(kRankWidth, ' ') + ranged_left(std::to_string(set_up.n), kCountWidth);
  for (const Portion portion : kTablePortions) {
    line +=
        ranged_left(mean_text(set_up.portions[portion], page.plus_minus()), kMeanWidth - 1) + ' ';
  }
  line.erase(line.find_last_not_of(' ') + 1);
  return line + '\n';
}

std::string stacked_numbers(const SetUp& set_up, const Page& page) {
  std::string text = indented(ranged_left("n", kPortionWidth) + std::to_string(set_up.n));
  for (const Portion portion : kTablePortions) {
    text += indented(ranged_left(name(portion), kPortionWidth) +
                     mean_text(set_up.portions[portion], page.plus_minus()));
  }
  return text;
}

std::string block(const SetUp& set_up, const Page& page) {
  const std::string bar = portion_bar(set_up, page.full_ms, page.columns - kRankWidth, page.style);
  return named(set_up, page) +
         (page.wide() ? wide_numbers(set_up, page) : stacked_numbers(set_up, page)) +
         (bar.empty() ? "" : indented(bar));
}

std::string heading(const Page& page) {
  std::string line = ranged_left("rank", kRankWidth);
  if (!page.wide()) {
    return line + "set-up; means in ms\n";
  }
  line += ranged_left("n", kCountWidth);
  for (const Portion portion : kTablePortions) {
    line += ranged_left(std::string(name(portion)) + ", ms", kMeanWidth);
  }
  line.erase(line.find_last_not_of(' ') + 1);
  return line + '\n';
}

std::string notes(const Campaign& campaign, const Page& page) {
  std::string text = std::string("Mean ") + page.plus_minus() +
                     " half of its 95 % interval, instruments included; \"low to high\" are bounds "
                     "of the mean";
  if (any_carried(campaign)) {
    text += ", with * those that rest on what sessions with the same screen lend each other";
  }
  text += std::string(". Ranks by the ") + name(campaign.ranked) +
          "; a range of ranks is a tie that is not resolved (Welch, adjusted after Holm over all "
          "pairs).";
  return wrap(text, page.columns) + wrap(bar_legend(page.style), page.columns);
}

std::string effect_text(const statistics::MeanEffect& effect, const Page& page) {
  if (!effect.estimate || !effect.interval) {
    return "not to be told";
  }
  const double half_width = effect.interval->half_width();
  const int decimals = decimals_for(half_width);
  return (*effect.estimate > 0 ? "+" : "") + fixed(*effect.estimate, decimals) + ' ' +
         page.plus_minus() + ' ' + fixed(half_width, decimals);
}

std::string effect_lines(const statistics::MeanEffect& effect, const Page& page) {
  constexpr std::size_t kEffectColumn = 46;
  const std::string what = plain(
      "  " + effect.factor + ": " + effect.level + " against " + effect.reference_level, page);
  const std::string amount = effect_text(effect, page);
  if (page.wide() && shown_width(what) < kEffectColumn) {
    return ranged_left(what, kEffectColumn) + amount + '\n';
  }
  return "  " + wrap(what.substr(2), page.columns - 2, 4) + "    " + amount + '\n';
}

std::string attribution_text(const Attribution& attribution, const Page& page) {
  std::string text =
      '\n' + wrap(std::string("What each part adds to the ") + name(attribution.portion) +
                      ", ms, the other parts being equal (95 %, " +
                      std::to_string(attribution.model.n) + " sessions):",
                  page.columns);
  for (const statistics::MeanEffect& effect : attribution.model.effects) {
    text += effect_lines(effect, page);
  }
  for (const std::string& sentence : sentences(attribution)) {
    text += wrap(plain(sentence, page), page.columns);
  }
  return text;
}

double longest_ms(const Campaign& campaign) {
  double longest = 0;
  for (const SetUp& set_up : campaign.set_ups) {
    longest = std::max(longest, set_up.portions[Portion::kTotal].mean_ms.value_or(0));
  }
  return longest;
}

}  // namespace

std::string terminal_campaign(const Campaign& campaign, std::size_t columns,
                              const TerminalStyle& style) {
  const Page page{columns, style, longest_ms(campaign)};
  std::string text = heading(page);
  for (const SetUp& set_up : campaign.set_ups) {
    text += block(set_up, page);
  }
  text += '\n' + notes(campaign, page);
  for (const Attribution& attribution : campaign.attributions) {
    text += attribution_text(attribution, page);
  }
  return text;
}

}  // namespace thumblight::report
