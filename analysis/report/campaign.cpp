#include "analysis/report/campaign.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "analysis/report/carried_screen.hpp"
#include "analysis/report/session_names.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

PortionMean mean_of(const PortionResult& portion) {
  PortionMean mean;
  if (portion.summary) {
    mean.n = portion.summary->n;
    mean.mean_ms = portion.summary->mean;
    mean.sd_ms = portion.summary->sd;
    mean.interval = portion.mean_interval;
  } else {
    mean.bounds_ms = portion.mean_bounds;
  }
  return mean;
}

SetUp set_up_of(const ComparedSession& session) {
  SetUp set_up;
  set_up.path = session.path;
  set_up.name = session.name;
  set_up.labels = session.result.labels;
  set_up.clock_link = session.result.split.clock_link.kind;
  set_up.warnings = session.result.split.warnings.size();
  for (const Portion portion : timing::kPortions) {
    set_up.portions[portion] = mean_of(session.result.portions[portion]);
  }
  set_up.n = set_up.portions[Portion::kTotal].n;
  return set_up;
}

void carry(PortionMean& mean, const timing::Bounds& bounds) {
  if (!mean.mean_ms) {
    mean.bounds_ms = bounds;
    mean.carried = true;
  }
}

void carry_over(std::vector<SetUp>& set_ups, const std::vector<ComparedSession>& sessions) {
  for (const ScreenGroup& group : share_screens(sessions)) {
    for (const CarriedPortions& carried : group.carried) {
      timing::PerPortion<PortionMean>& portions = set_ups[carried.session].portions;
      carry(portions[Portion::kDelivery], carried.delivery_ms);
      carry(portions[Portion::kScreen], carried.screen_ms);
      carry(portions[Portion::kDisplay], carried.display_ms);
    }
  }
}

/// Bounds stand where their middle is; what is not known comes last.
double place_of(const PortionMean& mean) {
  if (mean.mean_ms) {
    return *mean.mean_ms;
  }
  return mean.bounds_ms ? (mean.bounds_ms->low_ms + mean.bounds_ms->high_ms) / 2 : HUGE_VAL;
}

std::string label_of(const SetUp& set_up, const std::string& key) {
  const auto found = set_up.labels.find(key);
  return found == set_up.labels.end() ? "" : found->second;
}

void sort(std::vector<SetUp>& set_ups, const SortKey& key, Portion ranked) {
  const auto sooner = [ranked](const SetUp& a, const SetUp& b) {
    return place_of(a.portions[ranked]) < place_of(b.portions[ranked]);
  };
  std::stable_sort(set_ups.begin(), set_ups.end(), sooner);
  if (!key.portion) {
    std::stable_sort(set_ups.begin(), set_ups.end(), [&key](const SetUp& a, const SetUp& b) {
      return label_of(a, key.label) < label_of(b, key.label);
    });
  }
}

std::vector<std::string> label_keys(const std::vector<SetUp>& set_ups) {
  std::set<std::string> keys;
  for (const SetUp& set_up : set_ups) {
    for (const auto& [key, value] : set_up.labels) {
      keys.insert(key);
    }
  }
  return {keys.begin(), keys.end()};
}

}  // namespace

SortKey sort_key(const std::string& text) {
  for (const Portion portion : timing::kPortions) {
    if (portion != Portion::kDisplay && text == name(portion)) {
      return {portion, ""};
    }
  }
  return {std::nullopt, text};
}

Campaign make_campaign(std::vector<ComparedSession> sessions, const SortKey& sort_by) {
  Campaign campaign;
  campaign.ranked = sort_by.portion.value_or(Portion::kTotal);
  name_set_ups(sessions);
  for (const ComparedSession& session : sessions) {
    campaign.set_ups.push_back(set_up_of(session));
  }
  const auto ranks = rank_sessions(sessions, campaign.ranked, campaign.level);
  for (std::size_t k = 0; k < ranks.size(); ++k) {
    campaign.set_ups[k].rank = ranks[k];
  }
  carry_over(campaign.set_ups, sessions);
  campaign.attributions = attribute(sessions);
  campaign.labels = label_keys(campaign.set_ups);
  sort(campaign.set_ups, sort_by, campaign.ranked);
  return campaign;
}

}  // namespace thumblight::report
