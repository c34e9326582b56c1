#include <algorithm>
#include <cmath>

#include "analysis/report/numbers.hpp"
#include "analysis/report/variation.hpp"

namespace thumblight::report {
namespace {

using statistics::SpreadInterval;
using timing::Portion;

/// To two digits of the interval's half-width.
std::string spread_words(const SpreadInterval& spread) {
  if (!spread.is_resolved()) {
    constexpr double kFinest_ms = 0.001;
    const double below_ms = std::max(spread.high, kFinest_ms);
    return "by less than " + fixed(below_ms, decimals_for(below_ms), Rounding::kUp) +
           " ms (not resolved)";
  }
  const int decimals = decimals_for((spread.high - spread.low) / 2);
  return "by " + fixed(*spread.sd, decimals) + " ms (" +
         fixed(spread.low, decimals, Rounding::kDown) + " to " +
         fixed(spread.high, decimals, Rounding::kUp) + ")";
}

const char* side_of(Portion portion) {
  switch (portion) {
    case Portion::kDelivery:
      return "from the input side";
    case Portion::kScreen:
      return "from the screen side";
    default:
      return "from the program and its wait for the refresh";
  }
}

bool is_clearly_above(const SpreadInterval& more, const SpreadInterval& less) {
  return more.low > less.high;
}

using Spreads = timing::PerPortion<std::optional<SpreadInterval>>;

/// The portion that clearly varies more than each of the others.
std::optional<Portion> leader_of(const Spreads& spread, const std::vector<Portion>& portions) {
  for (const Portion candidate : portions) {
    const bool leads = std::all_of(portions.begin(), portions.end(), [&](Portion other) {
      return other == candidate || is_clearly_above(*spread[candidate], *spread[other]);
    });
    if (leads) {
      return candidate;
    }
  }
  return std::nullopt;
}

std::string verdict(const Spreads& spread) {
  const std::vector<Portion> crossed = {Portion::kDelivery, Portion::kScreen};
  const std::vector<Portion> all(kVaryingPortions.begin(), kVaryingPortions.end());
  if (const auto leader = leader_of(spread, all)) {
    std::string text = std::string("Most of the jitter comes ") + side_of(*leader) + ".";
    if (*leader != Portion::kRender) {
      return text;
    }
    const auto second = leader_of(spread, crossed);
    return text + (second ? std::string(" Of the rest, most comes ") + side_of(*second) + "."
                          : " Of delivery and screen this session cannot tell which varies more.");
  }
  if (const auto leader = leader_of(spread, crossed)) {
    return std::string("Of delivery and screen, more jitter comes ") + side_of(*leader) + ".";
  }
  return "This session cannot tell whether more jitter comes from the input or from the screen.";
}

std::string percent(double share) {
  return fixed(share * 100, 0) + " %";
}

/// To a nanosecond at the finest, as the log is written.
std::string interval_words(const Structure& grid) {
  constexpr double kFinest_ms = 1e-6;
  constexpr int kDecimals = 6;
  const bool is_finest = *grid.u_ms < kFinest_ms;
  return "The arrivals lie on a grid of " + fixed(grid.size_ms, kDecimals) +
         " ms (standard uncertainty " +
         (is_finest ? "below 0.000001" : fixed(*grid.u_ms, kDecimals, Rounding::kUp)) + ")";
}

/// A wait of up to an interval is uniform.
std::string wait_words(const Structure& grid) {
  return fixed(grid.size_ms / std::sqrt(12.0), 2) + " ms";
}

std::string cluster_words(const Structure& clusters) {
  const double ms = clusters.size_ms;
  std::string text = "The " + std::string(name(clusters.portion)) +
                     " portion falls into two groups: at " + percent(*clusters.share) +
                     " of the presses it is " + fixed(ms, decimals_for(ms)) + " ms " +
                     (clusters.is_above ? "longer" : "shorter") + " than at the others";
  if (clusters.is_missed_frame) {
    text += ", about one refresh: a missed frame";
  }
  return text + ".";
}

}  // namespace

std::string sentence(const Structure& structure) {
  switch (structure.kind) {
    case StructureKind::kPolling:
      return interval_words(structure) +
             ": the input is polled at that interval, and the wait for it alone varies by " +
             wait_words(structure) + ".";
    case StructureKind::kPressSteps:
      return interval_words(structure) +
             ", but delivery varies too little for a wait of that length: the presses themselves "
             "were made in such steps.";
    case StructureKind::kGrid:
      return interval_words(structure) +
             ": the input is polled at that interval, or the presses were made in such steps.";
    case StructureKind::kRefreshGrid:
      return interval_words(structure) +
             ", that of the refresh: the program takes its input there, so that wait is part of "
             "delivery.";
    case StructureKind::kClockStep:
      return interval_words(structure) +
             ", and so do the submits: the host's clock moves in such steps.";
    case StructureKind::kTwoClusters:
      return cluster_words(structure);
    case StructureKind::kRefreshPhase:
      break;
  }
  return "The screen portion goes with the submit's place in the refresh, by " +
         fixed(structure.size_ms, decimals_for(structure.size_ms)) +
         " ms from crest to trough, which makes " + percent(*structure.share) + " of its variance.";
}

std::vector<std::string> sentences(const Variation& variation) {
  std::vector<std::string> text;
  const auto& delivery = variation.spread[Portion::kDelivery];
  const auto& render = variation.spread[Portion::kRender];
  const auto& screen = variation.spread[Portion::kScreen];
  if (delivery && render && screen) {
    text.push_back(
        "As standard deviations without the camera's share (95 % limits), delivery varies " +
        spread_words(*delivery) + ", render " + spread_words(*render) + ", screen " +
        spread_words(*screen) + ".");
    text.push_back(verdict(variation.spread));
  }
  for (const Structure& structure : variation.structure) {
    text.push_back(sentence(structure));
  }
  return text;
}

}  // namespace thumblight::report
