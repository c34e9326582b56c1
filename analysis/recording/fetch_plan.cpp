#include "analysis/recording/fetch_plan.hpp"

#include <algorithm>

namespace thumblight::recording {
namespace {

std::optional<std::int64_t> first_missing(const FrameCache& cache, const Stretch& stretch) {
  for (std::int64_t frame = stretch.first; frame <= stretch.last; ++frame) {
    if (!cache.holds(frame)) {
      return frame;
    }
  }
  return std::nullopt;
}

}  // namespace

Reach reach_for(std::int64_t most) {
  // More than this is decoded for nothing, as a rule: four seconds of a quick camera.
  constexpr std::int64_t kEnough = 960;
  const std::int64_t held = std::min(most, kEnough);
  Reach reach;
  reach.behind = held / 2;
  reach.near = std::min<std::int64_t>(32, reach.behind / 2);
  reach.ahead = held / 4;
  reach.elsewhere = std::clamp<std::int64_t>((held / 4 - 3) / 4, 0, 24);
  return reach;
}

Neighbourhood neighbourhood(std::int64_t place, const std::vector<std::int64_t>& next,
                            const Reach& reach, std::int64_t frames) {
  const auto clipped = [frames](std::int64_t first, std::int64_t last) {
    return Stretch{std::max<std::int64_t>(first, 0), std::min(last, frames - 1)};
  };
  Neighbourhood near;
  near.place = place;
  near.around = clipped(place - reach.behind, place + reach.ahead);
  for (const std::int64_t other : next) {
    near.elsewhere.push_back(clipped(other - reach.elsewhere, other + reach.elsewhere));
  }
  return near;
}

std::optional<Wish> next_wish(const FrameCache& cache, const Neighbourhood& near,
                              const Reach& reach) {
  const std::int64_t place = near.place;
  const Stretch close = {std::max(near.around.first, place - reach.near), place};
  if (const auto missing = first_missing(cache, close)) {
    return Wish{*missing, true};
  }
  const std::int64_t behind = place - near.around.first;
  const std::int64_t ready = cache.run_before(place, behind);
  if (ready < std::min(behind, reach.behind / 2)) {
    return Wish{place - ready - 1, false};
  }
  const std::int64_t ahead = near.around.last - place;
  const std::int64_t coming = cache.run_after(place, ahead);
  if (coming < std::min(ahead, reach.ahead / 2)) {
    return Wish{place + coming + 1, false};
  }
  for (const Stretch& stretch : near.elsewhere) {
    if (const auto missing = first_missing(cache, stretch)) {
      return Wish{*missing, false};
    }
  }
  return std::nullopt;
}

}  // namespace thumblight::recording
