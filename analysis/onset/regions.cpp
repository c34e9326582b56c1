#include "analysis/onset/regions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "analysis/onset/lamp_groups.hpp"
#include "analysis/onset/quantile.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

std::vector<double> times_of(const std::vector<GroupStep>& steps) {
  std::vector<double> times;
  times.reserve(steps.size());
  for (const GroupStep& step : steps) {
    times.push_back(step.time_s);
  }
  return times;
}

/// Share of the flashes, or of the lights where the film shows fewer, that fall together.
double fit_share(const ScheduleFit& fit, std::size_t flashes, std::size_t lights) {
  const std::size_t possible = std::min(flashes, lights);
  return possible == 0 ? 0 : static_cast<double>(fit.pairs.size()) / static_cast<double>(possible);
}

/// Host seconds for one recording second, where a slow-motion file was taken for real time or a
/// rate was stated wrongly.
constexpr std::array<double, 12> kWrongRates = {1.0 / 4,    1.0 / 8,    1.0 / 2,    2.0,
                                                4.0,        8.0,        1.0 / 16,   1.0 / 32,
                                                25.0 / 240, 24.0 / 240, 25.0 / 120, 24.0 / 120};

struct Choice {
  std::size_t group = 0;
  ScheduleFit fit;
  double rate = 1;
  bool found = false;
};

/// How long the log says the patch stayed bright; 0 where it does not tell.
double logged_bright_s(const session::Log& log) {
  std::vector<double> logged;
  for (const session::Dark& dark : log.darks) {
    const auto press = std::find_if(log.presses.begin(), log.presses.end(),
                                    [&](const session::Press& p) { return p.index == dark.index; });
    if (press != log.presses.end() && press->submit_ns) {
      logged.push_back(static_cast<double>(dark.submit_ns - *press->submit_ns) * 1e-9);
    }
  }
  return quantile_of(std::move(logged), 0.5);
}

/// The strongest group that keeps the log's schedule at that rate. A lamp on the button keeps it
/// too: of several, one that stays bright as long as the log says comes first, if it keeps to it
/// much better than stronger ones and is not as faint as a reflection.
Choice choose_by_log(const std::vector<StepGroup>& groups, const std::vector<double>& flash_s,
                     double bright_s, double rate) {
  constexpr double kEnough = 0.7;
  constexpr double kLasts_s = 0.012;
  constexpr double kMuchBetter = 0.5;  // pulsed light, too, is off by some of a refresh
  constexpr double kFaint = 1e-3;
  Choice best;
  double best_off_s = 1e9;
  for (std::size_t g = 0; g < groups.size(); ++g) {
    if (groups[g].strength() < kFaint * groups[0].strength()) {
      break;  // they come in the order of their strength
    }
    const std::vector<double> light_s = times_of(groups[g].ups);
    const ScheduleFit fit = fit_schedule(flash_s, light_s, rate);
    const bool fits = fit_share(fit, flash_s.size(), light_s.size()) >= kEnough &&
                      2 * fit.pairs.size() >= std::min<std::size_t>(flash_s.size(), 4);
    const double lit_s = bright_time_s(groups[g]);
    const double off_s = bright_s > 0 && lit_s > 0 ? std::abs(lit_s * rate - bright_s) : 1e9;
    const bool lasts =
        off_s < kLasts_s && best_off_s > kLasts_s && off_s < kMuchBetter * best_off_s;
    const bool better = 2 * fit.pairs.size() > 3 * best.fit.pairs.size() ||
                        (lasts && 3 * fit.pairs.size() > 2 * best.fit.pairs.size());
    if (fits && (!best.found || better)) {
      best = {g, fit, rate, true};
      best_off_s = off_s;
    }
  }
  return best;
}

/// Where everything steps a little, nothing flashes.
bool is_mere_noise(const std::vector<StepGroup>& groups) {
  constexpr double kLeastHeight = 0.02;
  constexpr std::size_t kMany = 6;
  if (groups.empty()) {
    return true;
  }
  const double height = *std::max_element(groups[0].heights.begin(), groups[0].heights.end());
  const bool common =
      groups.size() >= kMany && groups[0].strength() < 5 * groups[groups.size() / 2].strength();
  return height < kLeastHeight || common;
}

/// A turn of the upright picture's point into the stored picture.
std::pair<double, double> stored_point(double x, double y, const recording::VideoInfo& info) {
  switch (info.rotation_deg) {
    case 90:
      return {y, info.height - x};
    case 180:
      return {info.width - x, info.height - y};
    case 270:
      return {info.width - y, x};
    default:
      return {x, y};
  }
}

std::pair<double, double> upright_point(double x, double y, const recording::VideoInfo& info) {
  switch (info.rotation_deg) {
    case 90:
      return {info.height - y, x};
    case 180:
      return {info.width - x, info.height - y};
    case 270:
      return {y, info.width - x};
    default:
      return {x, y};
  }
}

std::optional<StepGroup> named_group(const std::optional<Region>& region,
                                     const std::vector<CellTrain>& trains, const Film& film,
                                     const char* name) {
  if (!region) {
    return std::nullopt;
  }
  std::vector<int> cells = cells_in(*region, film);
  if (cells.empty()) {
    refuse_outside(film.info.file, name);
  }
  // Only cells that step count: a generous rectangle does no harm.
  StepGroup whole = group_of(trains, cells);
  const double most =
      whole.heights.empty() ? 0 : *std::max_element(whole.heights.begin(), whole.heights.end());
  std::vector<int> core;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (whole.heights[i] > 0.35 * most && most > 0) {
      core.push_back(cells[i]);
    }
  }
  return core.empty() ? StepGroup{cells, std::vector<double>(cells.size(), 0.0), {}, {}}
                      : group_of(trains, core);
}

bool share_a_cell(const StepGroup& a, const StepGroup& b) {
  return std::any_of(a.cells.begin(), a.cells.end(), [&b](int cell) {
    return std::find(b.cells.begin(), b.cells.end(), cell) != b.cells.end();
  });
}

/// Takes the patch from where the person says it is; groups that lie there are no lamps.
void take_named_patch(const Region& region, const std::vector<CellTrain>& trains, const Film& film,
                      const std::vector<double>& flash_s, std::vector<StepGroup>& groups,
                      Sights& sights) {
  sights.patch = named_group(region, trains, film, "patch");
  groups.erase(
      std::remove_if(groups.begin(), groups.end(),
                     [&](const StepGroup& group) { return share_a_cell(group, *sights.patch); }),
      groups.end());
  if (!flash_s.empty()) {
    sights.schedule = fit_schedule(flash_s, times_of(sights.patch->ups), 1);
  }
}

/// Finds the patch among the groups, by the log if there is one; returns its place among them.
std::size_t find_patch(const std::vector<StepGroup>& groups, const std::vector<double>& flash_s,
                       double bright_s, Sights& sights) {
  constexpr std::size_t kEnoughToTellRates = 4;
  Choice choice = flash_s.empty() ? Choice{} : choose_by_log(groups, flash_s, bright_s, 1);
  for (const double rate : kWrongRates) {
    const bool try_on = !choice.found && flash_s.size() >= kEnoughToTellRates;
    choice = try_on ? choose_by_log(groups, flash_s, bright_s, rate) : choice;
  }
  if (choice.found) {
    sights.patch = groups[choice.group];
    sights.schedule = choice.fit;
    sights.wrong_rate = choice.rate;
    return choice.group;
  }
  if (!groups.empty()) {
    sights.patch = groups[0];
  }
  return 0;
}

}  // namespace

Region stored_region(const Region& upright, const recording::VideoInfo& info) {
  const auto [x0, y0] = stored_point(upright.x, upright.y, info);
  const auto [x1, y1] = stored_point(upright.x + upright.w, upright.y + upright.h, info);
  return {std::min(x0, x1), std::min(y0, y1), std::abs(x1 - x0), std::abs(y1 - y0)};
}

Region upright_region(const Region& stored, const recording::VideoInfo& info) {
  const auto [x0, y0] = upright_point(stored.x, stored.y, info);
  const auto [x1, y1] = upright_point(stored.x + stored.w, stored.y + stored.h, info);
  return {std::min(x0, x1), std::min(y0, y1), std::abs(x1 - x0), std::abs(y1 - y0)};
}

void refuse_outside(const std::string& file, const char* name) {
  throw Error(file + ": the region '" + name +
              "' lies outside the picture; its pixels are those of the upright picture");
}

std::vector<int> cells_in(const Region& upright, const Film& film) {
  const Region stored = stored_region(upright, film.info);
  const double left = stored.x;
  const double right = stored.x + stored.w;
  const double top = stored.y;
  const double bottom = stored.y + stored.h;
  std::vector<int> cells;
  const double half = film.layout.cell_px / 2.0;
  for (int cell = 0; cell < film.layout.cells(); ++cell) {
    const double x = film.layout.centre_x(cell);
    const double y = film.layout.centre_y(cell);
    if (x > left - half && x < right + half && y > top - half && y < bottom + half) {
      cells.push_back(cell);
    }
  }
  return cells;
}

Region upright_bounds(const std::vector<int>& cells, const Film& film) {
  double left = 1e9;
  double top = 1e9;
  double right = -1e9;
  double bottom = -1e9;
  const double half = film.layout.cell_px / 2.0;
  for (const int cell : cells) {
    for (const double side : {-half, half}) {
      const auto [x, y] = upright_point(film.layout.centre_x(cell) + side,
                                        film.layout.centre_y(cell) + side, film.info);
      left = std::min(left, x);
      right = std::max(right, x);
      top = std::min(top, y);
      bottom = std::max(bottom, y);
    }
  }
  return {left, top, right - left, bottom - top};
}

std::vector<double> flash_times_s(const session::Log& log) {
  std::vector<double> times;
  if (log.presses.empty()) {
    return times;
  }
  const std::int64_t zero = log.presses.front().arrival_ns;
  for (const session::Press& press : log.presses) {
    if (press.flashed && press.submit_ns) {
      times.push_back(static_cast<double>(*press.submit_ns - zero) * 1e-9);
    }
  }
  return times;
}

std::vector<StepGroup> find_press_lamps(const std::vector<CellTrain>& trains, const Film& film,
                                        const Setup& setup, const std::vector<int>& elsewhere) {
  if (setup.lamp) {
    const std::optional<StepGroup> lamp = named_group(setup.lamp, trains, film, "lamp");
    return lamp->ups.empty() ? std::vector<StepGroup>{} : std::vector<StepGroup>{*lamp};
  }
  std::vector<StepGroup> groups = find_step_groups(trains, film.layout);
  if (is_mere_noise(groups)) {
    return {};
  }
  const StepGroup other{elsewhere, {}, {}, {}};
  groups.erase(std::remove_if(groups.begin(), groups.end(),
                              [&](const StepGroup& group) { return share_a_cell(group, other); }),
               groups.end());
  return groups;
}

Sights find_sights(const std::vector<CellTrain>& trains, const Film& film, const Setup& setup,
                   const session::Log* log) {
  Sights sights;
  std::vector<StepGroup> groups = find_step_groups(trains, film.layout);
  if (is_mere_noise(groups)) {
    groups.clear();
  }
  const std::vector<double> flash_s = log != nullptr ? flash_times_s(*log) : std::vector<double>{};
  std::size_t patch_index = 0;
  if (setup.patch) {
    take_named_patch(*setup.patch, trains, film, flash_s, groups, sights);
    patch_index = groups.size();
  } else {
    patch_index = find_patch(groups, flash_s, log != nullptr ? logged_bright_s(*log) : 0, sights);
  }
  if (!sights.patch) {
    return sights;
  }
  if (patch_index < groups.size()) {
    groups.erase(groups.begin() + static_cast<std::ptrdiff_t>(patch_index));
  }
  LampGroups lamps = find_lamp_groups(groups, *sights.patch, film.clock.interval_s, log);
  sights.lamp = std::move(lamps.button);
  sights.host_lamp = std::move(lamps.host);
  if (setup.lamp) {
    sights.lamp = named_group(setup.lamp, trains, film, "lamp");
  }
  if (setup.host_lamp) {
    sights.host_lamp = named_group(setup.host_lamp, trains, film, "host_lamp");
  }
  if (setup.press_from == "finger" || setup.press_from == "sound") {
    sights.lamp.reset();
  }
  return sights;
}

}  // namespace thumblight::onset
