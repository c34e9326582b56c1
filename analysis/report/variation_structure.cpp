#include <algorithm>
#include <cmath>

#include "analysis/report/variation.hpp"
#include "analysis/statistics/cycle_fit.hpp"
#include "analysis/statistics/two_clusters.hpp"

namespace thumblight::report {
namespace {

using statistics::SpreadInterval;
using timing::GridMaker;
using timing::Portion;

constexpr double kMsPerSecond = 1e3;

/// A wait for the next instant of a grid varies by 0.29 of its period (a uniform distribution);
/// presses that already lie on the grid wait alike.
constexpr double kLeastWaitShare = 0.2;

StructureKind kind_of(const timing::ArrivalGrid& arrivals,
                      const std::optional<SpreadInterval>& delivery) {
  if (arrivals.maker == GridMaker::kClock) {
    return StructureKind::kClockStep;
  }
  if (arrivals.maker == GridMaker::kRefresh) {
    return StructureKind::kRefreshGrid;
  }
  const double least_ms = kLeastWaitShare * arrivals.grid.period_s * kMsPerSecond;
  if (!delivery || (delivery->low < least_ms && delivery->high >= least_ms)) {
    return StructureKind::kGrid;
  }
  return delivery->high < least_ms ? StructureKind::kPressSteps : StructureKind::kPolling;
}

void add_grid(const timing::Split& split, const std::optional<SpreadInterval>& delivery,
              std::vector<Structure>& structure) {
  if (!split.variation->arrivals) {
    return;
  }
  const timing::PhaseGrid& grid = split.variation->arrivals->grid;
  Structure found;
  found.kind = kind_of(*split.variation->arrivals, delivery);
  found.size_ms = grid.period_s * kMsPerSecond;
  found.u_ms = grid.u_period_s * kMsPerSecond;
  found.chance = grid.chance;
  structure.push_back(found);
}

bool is_one_refresh(double distance_ms, const std::optional<timing::RefreshGrid>& refresh) {
  constexpr double kNear = 0.15;
  if (!refresh) {
    return false;
  }
  const double period_ms = refresh->grid.period_s * kMsPerSecond;
  return std::abs(distance_ms - period_ms) < kNear * period_ms;
}

void add_clusters(const timing::Split& split, Portion portion, std::optional<double> camera_u_ms,
                  std::vector<Structure>& structure) {
  // Instants on frames lie sqrt(12) of their standard uncertainties apart.
  constexpr double kBeyondFrames = 5;
  constexpr double kFalseAlarm = 0.01;
  if (!camera_u_ms) {
    return;
  }
  const auto found =
      statistics::find_two_clusters(varying_ms(split, portion), kBeyondFrames * *camera_u_ms);
  if (!found) {
    return;
  }
  Structure clusters;
  clusters.kind = StructureKind::kTwoClusters;
  clusters.portion = portion;
  clusters.size_ms = found->distance;
  clusters.is_above = found->above <= found->below;
  clusters.share = static_cast<double>(std::min(found->above, found->below)) /
                   static_cast<double>(found->above + found->below);
  clusters.chance = kFalseAlarm;
  clusters.is_missed_frame =
      portion == Portion::kScreen && is_one_refresh(found->distance, split.refresh);
  structure.push_back(clusters);
}

void add_refresh_phase(const timing::Split& split, std::vector<Structure>& structure) {
  constexpr double kMostChance = 1e-3;
  std::vector<double> turns;
  std::vector<double> screens;
  for (const timing::OffsetFree& press : split.variation->presses) {
    if (press.screen_ms && press.submit_turns) {
      turns.push_back(*press.submit_turns);
      screens.push_back(*press.screen_ms);
    }
  }
  const auto fit = statistics::fit_cycle(turns, screens, split.variation->fitted);
  if (!fit || fit->p >= kMostChance) {
    return;
  }
  Structure wave;
  wave.kind = StructureKind::kRefreshPhase;
  wave.portion = Portion::kScreen;
  wave.size_ms = 2 * fit->amplitude;
  wave.share = fit->share;
  wave.chance = fit->p;
  structure.push_back(wave);
}

}  // namespace

const char* name(StructureKind kind) {
  switch (kind) {
    case StructureKind::kPolling:
      return "polling";
    case StructureKind::kPressSteps:
      return "press-steps";
    case StructureKind::kGrid:
      return "grid";
    case StructureKind::kRefreshGrid:
      return "refresh-grid";
    case StructureKind::kClockStep:
      return "clock-step";
    case StructureKind::kTwoClusters:
      return "two-clusters";
    case StructureKind::kRefreshPhase:
      break;
  }
  return "refresh-phase";
}

std::vector<Structure> find_structure(
    const timing::Split& split, const timing::PerPortion<std::optional<SpreadInterval>>& spread) {
  std::vector<Structure> structure;
  add_grid(split, spread[Portion::kDelivery], structure);
  add_clusters(split, Portion::kDelivery, split.variation->press_u_ms, structure);
  add_clusters(split, Portion::kScreen, split.variation->light_u_ms, structure);
  add_refresh_phase(split, structure);
  return structure;
}

}  // namespace thumblight::report
