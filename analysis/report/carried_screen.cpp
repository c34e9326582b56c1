#include "analysis/report/carried_screen.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/report/same_screen.hpp"
#include "analysis/timing/press_rows.hpp"

namespace thumblight::report {
namespace {

using timing::Bounds;
using timing::Portion;

/// How far the mean over these presses may lie from the mean in the long run.
std::optional<double> sampling_ms(const Result& result) {
  if (!result.variation || !result.variation->spread[Portion::kScreen]) {
    return std::nullopt;
  }
  const statistics::SpreadInterval& spread = *result.variation->spread[Portion::kScreen];
  return timing::kWidening * spread.observed_sd / std::sqrt(static_cast<double>(spread.n));
}

/// Where the mean of the screen portion lies by this session alone.
std::optional<Bounds> screen_of(const PortionResult& screen) {
  if (screen.mean_interval) {
    return Bounds{screen.mean_interval->low, screen.mean_interval->high};
  }
  return screen.summary ? std::nullopt : screen.mean_bounds;
}

/// How far the mean of a portion may be off by its instants.
double reading_ms(const Result& result, Portion portion) {
  const PortionResult& found = result.portions[portion];
  double variance = found.value_u_ms ? *found.value_u_ms * *found.value_u_ms /
                                           static_cast<double>(found.summary->n)
                                     : 0;
  for (const timing::SharedError& error : result.split.shared[portion]) {
    variance += error.u_ms * error.u_ms;
  }
  return timing::kWidening * std::sqrt(variance);
}

std::vector<std::vector<std::size_t>> group_by_screen(
    const std::vector<ComparedSession>& sessions) {
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t k = 0; k < sessions.size(); ++k) {
    const auto group = std::find_if(groups.begin(), groups.end(), [&](const auto& members) {
      const ComparedSession& first = sessions[members.front()];
      return screen_differences(first.header, first.result, sessions[k].header, sessions[k].result)
          .empty();
    });
    if (group == groups.end()) {
      groups.push_back({k});
    } else {
      group->push_back(k);
    }
  }
  return groups;
}

/// The shared mean, told by places among all sessions.
void share(const std::vector<ComparedSession>& sessions, ScreenGroup& group) {
  std::vector<timing::ScreenEvidence> evidence;
  std::vector<std::size_t> places;
  for (const std::size_t place : group.sessions) {
    const Result& result = sessions[place].result;
    const std::optional<Bounds> screen_ms = screen_of(result.portions[Portion::kScreen]);
    const std::optional<double> doubt_ms = sampling_ms(result);
    if (screen_ms && doubt_ms) {
      evidence.push_back({*screen_ms, *doubt_ms});
      places.push_back(place);
    }
  }
  const timing::CarryOver carried = timing::carry_over(evidence);
  if (carried.screen) {
    group.screen = timing::SharedScreen{carried.screen->mean_ms, places[carried.screen->low_from],
                                        places[carried.screen->high_from]};
  }
  if (carried.contradiction) {
    group.contradiction = {places[carried.contradiction->first],
                           places[carried.contradiction->second]};
  }
}

/// What the shared mean says of a session whose remainder is known, but not its parts.
std::optional<CarriedPortions> lend(const timing::SharedScreen& shared, const Result& result,
                                    std::size_t place) {
  const auto& portions = result.portions;
  const std::optional<double> doubt_ms = sampling_ms(result);
  if (!doubt_ms || portions[Portion::kScreen].summary || !portions[Portion::kRemainder].summary ||
      !portions[Portion::kTotal].summary) {
    return std::nullopt;
  }
  const double remainder_ms = portions[Portion::kRemainder].summary->mean;
  const double render_ms = portions[Portion::kTotal].summary->mean - remainder_ms;
  const double reading = reading_ms(result, Portion::kRemainder);
  CarriedPortions carried;
  carried.session = place;
  carried.screen_ms =
      timing::own_screen_ms(shared, *doubt_ms, portions[Portion::kScreen].mean_bounds);
  carried.display_ms = {carried.screen_ms.low_ms + render_ms,
                        carried.screen_ms.high_ms + render_ms};
  const Bounds by_screen = {std::max(0.0, remainder_ms - carried.screen_ms.high_ms - reading),
                            std::max(0.0, remainder_ms - carried.screen_ms.low_ms + reading)};
  carried.delivery_ms = by_screen;
  if (const std::optional<Bounds>& own = portions[Portion::kDelivery].mean_bounds) {
    carried.delivery_ms.low_ms = std::max(by_screen.low_ms, own->low_ms);
    carried.delivery_ms.high_ms =
        std::max(carried.delivery_ms.low_ms, std::min(by_screen.high_ms, own->high_ms));
  }
  return carried;
}

}  // namespace

std::vector<ScreenGroup> share_screens(const std::vector<ComparedSession>& sessions) {
  std::vector<ScreenGroup> groups;
  for (std::vector<std::size_t>& members : group_by_screen(sessions)) {
    if (members.size() < 2) {
      continue;
    }
    ScreenGroup group;
    group.sessions = std::move(members);
    share(sessions, group);
    if (group.screen) {
      for (const std::size_t place : group.sessions) {
        if (const auto carried = lend(*group.screen, sessions[place].result, place)) {
          group.carried.push_back(*carried);
        }
      }
    }
    groups.push_back(std::move(group));
  }
  return groups;
}

}  // namespace thumblight::report
