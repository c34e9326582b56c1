#include "analysis/onset/filmed_steps.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <tuple>

#include "analysis/onset/level_model.hpp"

namespace thumblight::onset {
namespace {

/// Cells gathered into at most this many places along each direction of the region.
constexpr int kPlacesAcross = 2;
constexpr int kPlacesDown = 4;

struct PlaceCells {
  std::vector<int> cells;
  double x_px = 0;
  double y_px = 0;
  double width_px = 0;
  double height_px = 0;
};

struct Extent {
  int low = 1 << 30;
  int high = -1;
  int size() const { return high - low + 1; }
};

/// Cells that lie wholly on the patch, where there are enough of them: what its edge runs through
/// is lit in a part that is not at the cell's centre.
std::vector<std::size_t> inner_cells(const StepGroup& group) {
  std::vector<double> sorted = group.heights;
  std::sort(sorted.begin(), sorted.end());
  const double typical = sorted[sorted.size() * 4 / 5];
  std::vector<std::size_t> inner;
  for (std::size_t i = 0; i < group.cells.size(); ++i) {
    if (group.heights[i] >= 0.88 * typical) {
      inner.push_back(i);
    }
  }
  if (inner.size() * 3 < group.cells.size()) {
    inner.resize(group.cells.size());
    std::iota(inner.begin(), inner.end(), std::size_t{0});
  }
  return inner;
}

Extent extent_of(const StepGroup& group, const std::vector<std::size_t>& members, int divisor,
                 bool rows) {
  Extent extent;
  for (const std::size_t i : members) {
    const int at = rows ? group.cells[i] / divisor : group.cells[i] % divisor;
    extent.low = std::min(extent.low, at);
    extent.high = std::max(extent.high, at);
  }
  return extent;
}

std::vector<PlaceCells> places_of(const StepGroup& group, const recording::GridLayout& layout,
                                  bool sloped) {
  const std::vector<std::size_t> members = inner_cells(group);
  const Extent columns = extent_of(group, members, layout.columns, false);
  const Extent rows = extent_of(group, members, layout.columns, true);
  const int across = sloped ? std::min(kPlacesAcross, columns.size()) : 1;
  const int down = sloped ? std::min(kPlacesDown, rows.size()) : 1;
  std::vector<PlaceCells> places(static_cast<std::size_t>(across) * static_cast<std::size_t>(down));
  std::vector<std::vector<std::size_t>> members_of(places.size());
  for (const std::size_t i : members) {
    const int cell = group.cells[i];
    const int x = (cell % layout.columns - columns.low) * across / columns.size();
    const int y = (cell / layout.columns - rows.low) * down / rows.size();
    const std::size_t index = static_cast<std::size_t>(y) * static_cast<std::size_t>(across) +
                              static_cast<std::size_t>(x);
    places[index].cells.push_back(cell);
    members_of[index].push_back(i);
  }
  for (std::size_t p = 0; p < places.size(); ++p) {
    PlaceCells& place = places[p];
    for (const int cell : place.cells) {
      place.x_px += layout.centre_x(cell) / static_cast<double>(place.cells.size());
      place.y_px += layout.centre_y(cell) / static_cast<double>(place.cells.size());
    }
    if (!place.cells.empty()) {
      place.width_px =
          layout.cell_px * extent_of(group, members_of[p], layout.columns, false).size();
      place.height_px =
          layout.cell_px * extent_of(group, members_of[p], layout.columns, true).size();
    }
  }
  places.erase(std::remove_if(places.begin(), places.end(),
                              [](const PlaceCells& place) { return place.cells.empty(); }),
               places.end());
  return places;
}

/// The centre of the light, weighted by how much each cell steps: the patch's own centre even
/// where its edge runs through cells.
std::pair<double, double> centre_of(const StepGroup& group, const recording::GridLayout& layout) {
  double x = 0;
  double y = 0;
  double sum = 0;
  for (std::size_t i = 0; i < group.cells.size(); ++i) {
    const double weight = std::max(group.heights[i], 1e-9);
    x += weight * layout.centre_x(group.cells[i]);
    y += weight * layout.centre_y(group.cells[i]);
    sum += weight;
  }
  return {x / sum, y / sum};
}

/// When the group was last dark before a step, and when it goes dark after it.
struct Span {
  double from_s = 0;
  double to_s = 0;
};

Span span_around(const StepGroup& group, std::size_t up, double unsettled_s, double frame_s) {
  constexpr double kMost_s = 0.16;
  const double reach_s = std::max(kMost_s, 10 * frame_s);
  const double at_s = group.ups[up].time_s;
  Span span{at_s - reach_s, at_s + 1.3 * reach_s};
  const double clear_s = 0.75 * unsettled_s + frame_s;
  for (const auto* steps : {&group.ups, &group.downs}) {
    for (const GroupStep& step : *steps) {
      if (step.time_s < at_s - 0.02) {
        span.from_s = std::max(span.from_s, step.time_s + 2 * clear_s);
      } else if (step.time_s > at_s + 0.02) {
        span.to_s = std::min(span.to_s, step.time_s - clear_s);
      }
    }
  }
  return span;
}

/// The frames of one step with the mean level of each place.
struct Cut {
  std::vector<double> start_s;
  std::vector<std::vector<double>> levels;  ///< by place
  double centre_x_px = 0;                   ///< of the light at this step: the camera may shake
  double centre_y_px = 0;
};

/// The group's cells and those beside them.
std::vector<int> with_neighbours(const StepGroup& group, const recording::GridLayout& layout) {
  std::vector<char> near(static_cast<std::size_t>(layout.cells()), 0);
  for (const int cell : group.cells) {
    const int column = cell % layout.columns;
    const int row = cell / layout.columns;
    for (int y = std::max(0, row - 1); y <= std::min(layout.rows - 1, row + 1); ++y) {
      for (int x = std::max(0, column - 1); x <= std::min(layout.columns - 1, column + 1); ++x) {
        near[static_cast<std::size_t>(y) * static_cast<std::size_t>(layout.columns) +
             static_cast<std::size_t>(x)] = 1;
      }
    }
  }
  std::vector<int> cells;
  for (int cell = 0; cell < layout.cells(); ++cell) {
    if (near[static_cast<std::size_t>(cell)] != 0) {
      cells.push_back(cell);
    }
  }
  return cells;
}

/// Finds the light's centre from what each cell gained between the first and the last frames.
void find_centre(const std::vector<float>& raw, std::size_t frames, const std::vector<int>& near,
                 const recording::GridLayout& layout, Cut& cut) {
  const auto cells = static_cast<std::size_t>(layout.cells());
  const std::size_t part = std::max<std::size_t>(1, frames / 4);
  std::vector<double> gains;
  for (const int cell : near) {
    double gain = 0;
    for (std::size_t i = 0; i < part; ++i) {
      gain += static_cast<double>(raw[(frames - 1 - i) * cells + static_cast<std::size_t>(cell)] -
                                  raw[i * cells + static_cast<std::size_t>(cell)]);
    }
    gains.push_back(gain);
  }
  const double most = *std::max_element(gains.begin(), gains.end());
  double sum = 0;
  double x = 0;
  double y = 0;
  for (std::size_t i = 0; i < near.size(); ++i) {
    if (gains[i] > 0.15 * most) {
      sum += gains[i];
      x += gains[i] * layout.centre_x(near[i]);
      y += gains[i] * layout.centre_y(near[i]);
    }
  }
  if (sum > 0) {
    cut.centre_x_px = x / sum;
    cut.centre_y_px = y / sum;
  }
}

Cut cut_out(Film& film, const std::vector<PlaceCells>& places, const std::vector<int>& near,
            const Span& span) {
  const std::int64_t first = film.first_from(span.from_s);
  const std::int64_t last = film.first_from(span.to_s);
  Cut cut;
  cut.levels.resize(places.size());
  if (last <= first) {
    return cut;
  }
  const std::vector<float> raw = film.levels->read(first, last - first);
  const auto cells = static_cast<std::size_t>(film.levels->cells());
  find_centre(raw, static_cast<std::size_t>(last - first), near, film.layout, cut);
  for (std::int64_t frame = first; frame < last; ++frame) {
    if (film.doubled[static_cast<std::size_t>(frame)] != 0) {
      continue;
    }
    cut.start_s.push_back(film.clock.time_s[static_cast<std::size_t>(frame)]);
    const float* row = raw.data() + static_cast<std::size_t>(frame - first) * cells;
    for (std::size_t p = 0; p < places.size(); ++p) {
      double sum = 0;
      for (const int cell : places[p].cells) {
        sum += static_cast<double>(row[cell]);
      }
      cut.levels[p].push_back(sum / static_cast<double>(places[p].cells.size()));
    }
  }
  return cut;
}

std::vector<double> mean_over_places(const Cut& cut) {
  std::vector<double> mean(cut.start_s.size(), 0);
  for (const std::vector<double>& levels : cut.levels) {
    for (std::size_t i = 0; i < mean.size(); ++i) {
      mean[i] += levels[i] / static_cast<double>(cut.levels.size());
    }
  }
  return mean;
}

/// A half-lit level that comes twice, in every place, is a doubled frame: light that rises does not
/// stand still. Its second showing says nothing about its time.
void drop_stale_frames(FilmedStep& step) {
  constexpr float kSame = 0.003F;
  for (std::size_t i = step.start_s.size(); i-- > 1;) {
    bool half_lit = false;
    bool same = true;
    for (const PlaceSeries& place : step.places) {
      half_lit = half_lit || (place.share[i] > 0.08F && place.share[i] < 0.85F);
      same = same && std::abs(place.share[i] - place.share[i - 1]) < kSame;
    }
    if (half_lit && same) {
      const auto at = static_cast<std::ptrdiff_t>(i);
      step.start_s.erase(step.start_s.begin() + at);
      for (PlaceSeries& place : step.places) {
        place.share.erase(place.share.begin() + at);
      }
    }
  }
}

/// A lamp is fully lit in the frame after the one that caught it. A level that this one repeats was
/// no half-lit one, but the beginning of a coder's slow way to the end.
void skip_slow_end(FilmedStep& step) {
  constexpr float kNearly = 0.85F;  // below, what creeps on is a finger
  constexpr float kAlike = 0.005F;
  for (PlaceSeries& place : step.places) {
    const auto lit = std::find_if(place.share.begin(), place.share.end(),
                                  [](float share) { return share > kNearly; });
    if (lit == place.share.end() || std::next(lit) == place.share.end() ||
        *lit < *std::next(lit) - kAlike) {
      continue;
    }
    std::replace_if(
        lit, place.share.end(), [](float share) { return share > kNearly; }, 1.0F);
  }
}

/// Adds the step to the group unless its levels cannot be told apart.
bool add_step(const Cut& cut, const std::vector<PlaceCells>& places, const LevelWindows& windows,
              const LevelTerms& terms, FilmedGroup& filmed) {
  FilmedStep step;
  step.start_s = cut.start_s;
  std::vector<Levels> fits;
  double height = 0;
  constexpr double kWhite = 0.985;
  for (const std::vector<double>& levels : cut.levels) {
    const std::optional<Levels> fit = fit_levels(cut.start_s, levels, windows, terms);
    if (!fit || fit->height <= 0) {
      return false;
    }
    fits.push_back(*fit);
    filmed.clipped = filmed.clipped || fit->before + fit->height > kWhite;
    height += fit->height / static_cast<double>(places.size());
  }
  const double persistence = std::sqrt(persistence_of(fits, windows, cut.start_s));
  for (std::size_t p = 0; p < places.size(); ++p) {
    PlaceSeries series;
    series.x_px = places[p].x_px - cut.centre_x_px;
    series.y_px = places[p].y_px - cut.centre_y_px;
    series.width_px = places[p].width_px;
    series.height_px = places[p].height_px;
    series.height = fits[p].height;
    series.share = fits[p].share;
    series.noise_before = persistence * fits[p].noise_before;
    series.noise_after = persistence * fits[p].noise_after;
    step.places.push_back(std::move(series));
  }
  step.likeness = likeness_of(fits, windows, cut.start_s);
  drop_stale_frames(step);
  step.about_s = half_crossing_s(step);
  filmed.heights.push_back(height);
  filmed.steps.push_back(std::move(step));
  return true;
}

/// Noise of a place is a matter of the film, not of one step: the median over the steps serves all.
void pool_noise(FilmedGroup& filmed, double least) {
  if (filmed.steps.empty()) {
    return;
  }
  const auto median = [](std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
  };
  std::vector<double> alike;
  for (std::size_t p = 0; p < filmed.steps[0].places.size(); ++p) {
    std::vector<double> before;
    std::vector<double> after;
    for (const FilmedStep& step : filmed.steps) {
      before.push_back(step.places[p].noise_before);
      after.push_back(step.places[p].noise_after);
    }
    const double typical_before = median(before);
    const double typical_after = median(after);
    for (FilmedStep& step : filmed.steps) {
      PlaceSeries& place = step.places[p];
      // A step in worse trouble than most keeps its own noise.
      const auto pooled = [least](double own, double typical) {
        return std::max(least, own > 2 * typical ? own : typical);
      };
      place.noise_before = pooled(place.noise_before, typical_before);
      place.noise_after = pooled(place.noise_after, typical_after);
    }
  }
  for (const FilmedStep& step : filmed.steps) {
    alike.push_back(step.likeness);
  }
  const double typical = median(alike);
  for (FilmedStep& step : filmed.steps) {
    step.likeness = typical;
  }
}

}  // namespace

FilmedGroup film_group(Film& film, const StepGroup& group, bool sloped) {
  FilmedGroup filmed;
  std::tie(filmed.centre_x_px, filmed.centre_y_px) = centre_of(group, film.layout);
  const std::vector<PlaceCells> places = places_of(group, film.layout, sloped);
  const double frame_s = film.clock.interval_s;
  // The scan-out over a patch and its rise take time; a lamp jumps.
  const double unsettled_s = sloped ? 0.016 : 0.006;
  const std::vector<int> near = with_neighbours(group, film.layout);
  std::vector<Cut> cuts;
  std::vector<LevelWindows> windows;
  for (std::size_t up = 0; up < group.ups.size(); ++up) {
    cuts.push_back(cut_out(film, places, near, span_around(group, up, unsettled_s, frame_s)));
    const std::vector<double> mean = mean_over_places(cuts.back());
    const double about_s = split_s(cuts.back().start_s, mean, group.ups[up].time_s);
    windows.push_back(windows_for(cuts.back().start_s, mean, about_s, unsettled_s, frame_s));
  }
  std::vector<LevelSeries> means;
  for (std::size_t i = 0; i < cuts.size(); ++i) {
    means.push_back({cuts[i].start_s, mean_over_places(cuts[i]), windows[i]});
  }
  const LevelTerms terms = choose_terms(means);
  filmed.flicker = terms.flicker_hz > 0;
  double left = 1e9;
  double top = 1e9;
  for (const PlaceCells& place : places) {
    left = std::min(left, place.x_px - filmed.centre_x_px);
    top = std::min(top, place.y_px - filmed.centre_y_px);
    filmed.width_px = std::max(filmed.width_px, place.x_px - filmed.centre_x_px - left);
    filmed.height_px = std::max(filmed.height_px, place.y_px - filmed.centre_y_px - top);
  }
  for (std::size_t up = 0; up < cuts.size(); ++up) {
    if (add_step(cuts[up], places, windows[up], terms, filmed)) {
      filmed.of_up.push_back(up);
      if (!sloped) {
        skip_slow_end(filmed.steps.back());
      }
    }
  }
  // A coder that loses something leaves levels standing still, but not where they should.
  pool_noise(filmed, film.lossless() ? 0.0015 : 0.003);
  return filmed;
}

}  // namespace thumblight::onset
