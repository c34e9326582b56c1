#include "analysis/onset/lamp_groups.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "analysis/onset/longest_delay.hpp"
#include "analysis/onset/quantile.hpp"

namespace thumblight::onset {
namespace {

double as_count(std::size_t count) {
  return static_cast<double>(count);
}

/// By how much `early` goes before `late`, within the longest delay.
struct Lead {
  double middle_s = 0;
  int alike = 0;  ///< pairs whose lead is about that
};

Lead lead_of(const std::vector<GroupStep>& early, const std::vector<GroupStep>& late,
             double most_after_s) {
  std::vector<double> leads_s;
  for (std::size_t k = 0; k < late.size(); ++k) {
    const double earliest = std::max(late[k].time_s - kLongestDelay_s,
                                     k > 0 ? late[k - 1].time_s + most_after_s : -1e9);
    double found = 1e9;
    for (const GroupStep& step : early) {
      if (step.time_s >= earliest && step.time_s <= late[k].time_s + most_after_s) {
        found = late[k].time_s - step.time_s;
      }
    }
    if (found < 1e9) {
      leads_s.push_back(found);
    }
  }
  constexpr double kAlike_s = 0.06;
  const double middle_s = quantile_of(leads_s, 0.5);
  const auto alike = std::count_if(leads_s.begin(), leads_s.end(), [&](double lead_s) {
    return std::abs(lead_s - middle_s) < kAlike_s;
  });
  return {middle_s, static_cast<int>(alike)};
}

/// Whether the group goes on and off with `source`; a faint one does not show every time.
bool goes_with(const StepGroup& group, const StepGroup& source, double interval_s) {
  constexpr double kMost = 0.7;
  const double tolerance_s = std::max(0.012, 1.2 * interval_s);
  const auto match = [&](const std::vector<GroupStep>& of_source,
                         const std::vector<GroupStep>& of_group) {
    return count_matches(of_source, of_group, 0, tolerance_s) >=
           kMost * as_count(std::min(of_source.size(), of_group.size()));
  };
  const Lead lead = lead_of(group.ups, source.ups, tolerance_s);
  return match(source.ups, group.ups) && match(source.downs, group.downs) &&
         std::abs(lead.middle_s) < std::max(0.006, 0.6 * interval_s);
}

double brightest(const StepGroup& group) {
  return group.heights.empty() ? 0 : *std::max_element(group.heights.begin(), group.heights.end());
}

/// Whether the group lights a like time before most of the patch's lights. What is faint beside the
/// patch may be a coder's redrawing, which comes before more than half of the lights by chance.
bool leads(const StepGroup& group, const StepGroup& patch, double interval_s) {
  constexpr double kFaintBeside = 0.1;
  const double enough = brightest(group) > kFaintBeside * brightest(patch) ? 0.6 : 0.8;
  const double slack_s = std::max(0.004, 0.7 * interval_s);
  const Lead lead = lead_of(group.ups, patch.ups, slack_s);
  const double lights = as_count(patch.ups.size());
  return lead.alike >= enough * lights && lead.middle_s > -slack_s &&
         as_count(group.ups.size()) <= 2.5 * lights + 2;
}

/// Beside a group so much stronger, one is but a part of it.
constexpr double kFaint = 0.05;

/// Whether another group darkens as this one brightens, and brightens as it darkens.
bool moves(const StepGroup& group, const std::vector<StepGroup>& groups, double interval_s) {
  constexpr double kMost = 0.7;
  const double tolerance_s = std::max(0.012, 1.2 * interval_s);
  const auto follows = [&](const std::vector<GroupStep>& steps,
                           const std::vector<GroupStep>& others) {
    return !steps.empty() &&
           count_matches(steps, others, 0, tolerance_s) >= kMost * as_count(steps.size());
  };
  return std::any_of(groups.begin(), groups.end(), [&](const StepGroup& other) {
    return other.strength() > kFaint * group.strength() && follows(group.ups, other.downs) &&
           follows(group.downs, other.ups);
  });
}

/// Whether a group's bright periods last as long as the log says its lamp was on.
bool lasts_as_logged(const StepGroup& group, const session::Log& log) {
  std::vector<double> logged_s;
  for (std::size_t i = 0; i + 1 < log.lamps.size(); ++i) {
    if (log.lamps[i].on && !log.lamps[i + 1].on) {
      logged_s.push_back(
          static_cast<double>(log.lamps[i + 1].switched_ns - log.lamps[i].switched_ns) * 1e-9);
    }
  }
  const double seen_s = bright_time_s(group);
  return !logged_s.empty() && seen_s > 0 &&
         std::abs(quantile_of(std::move(logged_s), 0.5) - seen_s) < 0.012;
}

/// Whether the group is what the lamp shines on: much weaker, and on and off with it.
bool is_glow(const StepGroup& group, const StepGroup& lamp, double interval_s) {
  constexpr double kMuchWeaker = 0.02;
  return group.strength() < kMuchWeaker * lamp.strength() && goes_with(group, lamp, interval_s);
}

}  // namespace

LampGroups find_lamp_groups(const std::vector<StepGroup>& groups, const StepGroup& patch,
                            double interval_s, const session::Log* log) {
  std::vector<StepGroup> lamps;
  double moving = 0;
  for (const StepGroup& group : groups) {
    if (!leads(group, patch, interval_s) || goes_with(group, patch, interval_s)) {
      continue;
    }
    if (moves(group, groups, interval_s)) {
      moving = std::max(moving, group.strength());
    } else {
      lamps.push_back(group);
    }
  }
  std::erase_if(lamps, [&](const StepGroup& lamp) { return lamp.strength() < kFaint * moving; });
  LampGroups found;
  if (log != nullptr && !log->lamps.empty()) {
    const auto host = std::find_if(lamps.begin(), lamps.end(), [&](const StepGroup& lamp) {
      return lasts_as_logged(lamp, *log);
    });
    if (host != lamps.end()) {
      found.host = *host;
      lamps.erase(host);
      std::erase_if(lamps,
                    [&](const StepGroup& lamp) { return is_glow(lamp, *found.host, interval_s); });
    }
  }
  if (!lamps.empty()) {
    found.button = lamps.front();
  }
  return found;
}

}  // namespace thumblight::onset
