#include "analysis/onset/step_groups.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>

#include "analysis/onset/quantile.hpp"

namespace thumblight::onset {
namespace {

/// Steps of cells of one group lie within this of each other: scan-out over the patch, and the
/// few milliseconds to which they are known.
constexpr double kTogether_s = 0.026;

double typical_height(const CellTrain& train) {
  std::vector<double> heights;
  for (const CellStep& step : train.ups) {
    heights.push_back(static_cast<double>(step.height));
  }
  return quantile_of(heights, 0.7);
}

/// Ups worth counting: those near the cell's typical height.
std::vector<CellStep> main_ups(const CellTrain& train) {
  const double least = 0.4 * typical_height(train);
  std::vector<CellStep> ups;
  std::copy_if(train.ups.begin(), train.ups.end(), std::back_inserter(ups),
               [least](const CellStep& step) { return static_cast<double>(step.height) >= least; });
  return ups;
}

int common(const std::vector<CellStep>& a, const std::vector<CellStep>& b) {
  int count = 0;
  std::size_t j = 0;
  for (const CellStep& step : a) {
    while (j < b.size() && b[j].time_s < step.time_s - kTogether_s) {
      ++j;
    }
    count += j < b.size() && b[j].time_s <= step.time_s + kTogether_s ? 1 : 0;
  }
  return count;
}

bool steps_alike(const std::vector<CellStep>& seed, const std::vector<CellStep>& other) {
  const auto matched = static_cast<double>(common(seed, other));
  return matched >= 1 && matched >= 0.6 * static_cast<double>(seed.size()) &&
         matched >= 0.5 * static_cast<double>(other.size());
}

/// Steps of many cells gathered into steps of the group.
std::vector<GroupStep> gather(std::vector<CellStep> all, std::size_t cells) {
  std::sort(all.begin(), all.end(),
            [](const CellStep& a, const CellStep& b) { return a.time_s < b.time_s; });
  std::vector<GroupStep> steps;
  std::size_t begin = 0;
  while (begin < all.size()) {
    std::size_t end = begin + 1;
    while (end < all.size() && all[end].time_s - all[end - 1].time_s < kTogether_s / 2 &&
           all[end].time_s - all[begin].time_s < 2 * kTogether_s) {
      ++end;
    }
    GroupStep step;
    step.time_s = all[(begin + end) / 2].time_s;
    for (std::size_t i = begin; i < end; ++i) {
      step.height += static_cast<double>(all[i].height) / static_cast<double>(end - begin);
    }
    step.share = static_cast<double>(end - begin) / static_cast<double>(cells);
    steps.push_back(step);
    begin = end;
  }
  return steps;
}

std::vector<GroupStep> shared_steps(const std::vector<GroupStep>& steps) {
  std::vector<GroupStep> shared;
  std::vector<double> heights;
  for (const GroupStep& step : steps) {
    if (step.share >= 0.5) {
      shared.push_back(step);
      heights.push_back(step.height);
    }
  }
  // A hand or a shadow moves levels too, but not by as much, press after press, as the light does.
  const double least = 0.45 * quantile_of(heights, 0.6);
  shared.erase(std::remove_if(shared.begin(), shared.end(),
                              [least](const GroupStep& step) { return step.height < least; }),
               shared.end());
  return shared;
}

class Grower {
 public:
  Grower(const std::vector<CellTrain>& trains, const recording::GridLayout& layout)
      : trains_(trains), layout_(layout), taken_(trains.size(), 0) {
    for (const CellTrain& train : trains) {
      ups_.push_back(main_ups(train));
      heights_.push_back(typical_height(train));
    }
  }

  std::vector<int> order() const {
    std::vector<int> cells(trains_.size());
    std::iota(cells.begin(), cells.end(), 0);
    std::sort(cells.begin(), cells.end(), [this](int a, int b) { return total(a) > total(b); });
    return cells;
  }

  bool is_seed(int cell) const { return taken_[cell] == 0 && !ups_[cell].empty(); }

  std::vector<int> grow(int seed) {
    std::vector<int> cells = {seed};
    taken_[seed] = 1;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      visit_neighbours(cells[i], seed, cells);
    }
    return cells;
  }

  double height(int cell) const { return heights_[cell]; }

 private:
  double total(int cell) const {
    return heights_[cell] * std::min<double>(static_cast<double>(ups_[cell].size()), 400);
  }

  void visit_neighbours(int cell, int seed, std::vector<int>& cells) {
    const int column = cell % layout_.columns;
    const int row = cell / layout_.columns;
    for (int y = std::max(0, row - 1); y <= std::min(layout_.rows - 1, row + 1); ++y) {
      for (int x = std::max(0, column - 1); x <= std::min(layout_.columns - 1, column + 1); ++x) {
        const int other = y * layout_.columns + x;
        if (taken_[other] == 0 && heights_[other] >= 0.1 * heights_[seed] &&
            steps_alike(ups_[seed], ups_[other])) {
          taken_[other] = 1;
          cells.push_back(other);
        }
      }
    }
  }

  const std::vector<CellTrain>& trains_;
  const recording::GridLayout& layout_;
  std::vector<char> taken_;
  std::vector<std::vector<CellStep>> ups_;
  std::vector<double> heights_;
};

}  // namespace

double StepGroup::strength() const {
  double sum = 0;
  for (const double height : heights) {
    sum += height * height;
  }
  return sum;
}

StepGroup group_of(const std::vector<CellTrain>& trains, const std::vector<int>& cells) {
  StepGroup group;
  group.cells = cells;
  std::vector<CellStep> ups;
  std::vector<CellStep> downs;
  for (const int cell : cells) {
    const double height = typical_height(trains[cell]);
    group.heights.push_back(height);
    const auto is_main = [height](const CellStep& step) {
      return static_cast<double>(step.height) >= 0.3 * height;
    };
    std::copy_if(trains[cell].ups.begin(), trains[cell].ups.end(), std::back_inserter(ups),
                 is_main);
    std::copy_if(trains[cell].downs.begin(), trains[cell].downs.end(), std::back_inserter(downs),
                 is_main);
  }
  group.ups = shared_steps(gather(std::move(ups), cells.size()));
  group.downs = shared_steps(gather(std::move(downs), cells.size()));
  return group;
}

std::vector<StepGroup> find_step_groups(const std::vector<CellTrain>& trains,
                                        const recording::GridLayout& layout) {
  constexpr std::size_t kMostGroups = 24;
  constexpr double kCore = 0.35;
  Grower grower(trains, layout);
  std::vector<StepGroup> groups;
  for (const int seed : grower.order()) {
    if (!grower.is_seed(seed) || groups.size() == kMostGroups) {
      continue;
    }
    const std::vector<int> grown = grower.grow(seed);
    std::vector<double> heights;
    heights.reserve(grown.size());
    for (const int cell : grown) {
      heights.push_back(grower.height(cell));
    }
    const double least = kCore * quantile_of(heights, 0.9);
    std::vector<int> core;
    std::copy_if(grown.begin(), grown.end(), std::back_inserter(core),
                 [&](int cell) { return grower.height(cell) >= least; });
    StepGroup group = group_of(trains, core);
    if (!group.ups.empty()) {
      groups.push_back(std::move(group));
    }
  }
  std::sort(groups.begin(), groups.end(),
            [](const StepGroup& a, const StepGroup& b) { return a.strength() > b.strength(); });
  return groups;
}

double bright_time_s(const StepGroup& group) {
  std::vector<double> seen_s;
  for (const GroupStep& up : group.ups) {
    const auto down = std::find_if(group.downs.begin(), group.downs.end(),
                                   [&](const GroupStep& d) { return d.time_s > up.time_s; });
    if (down != group.downs.end()) {
      seen_s.push_back(down->time_s - up.time_s);
    }
  }
  return quantile_of(std::move(seen_s), 0.5);
}

int count_matches(const std::vector<GroupStep>& times, const std::vector<GroupStep>& others,
                  double lead_s, double tolerance_s) {
  int count = 0;
  for (const GroupStep& step : times) {
    const auto near = std::lower_bound(
        others.begin(), others.end(), step.time_s + lead_s - tolerance_s,
        [](const GroupStep& other, double time_s) { return other.time_s < time_s; });
    count += near != others.end() && near->time_s <= step.time_s + lead_s + tolerance_s ? 1 : 0;
  }
  return count;
}

}  // namespace thumblight::onset
