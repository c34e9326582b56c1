#include "analysis/onset/change_presses.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/onset/click.hpp"
#include "analysis/onset/film_instants.hpp"
#include "analysis/onset/fit_film.hpp"
#include "analysis/onset/movement.hpp"

namespace thumblight::onset {
namespace {

constexpr std::size_t kMostLamps = 4;
constexpr double kRelease_s = 0.3;  ///< a stroke or click so soon after a press is its release

/// Keeps the first of instants that follow each other closely.
void leave_out_releases(std::vector<Instant>& presses) {
  std::vector<Instant> kept;
  for (Instant& press : presses) {
    if (kept.empty() || press.t_s - kept.back().t_s > kRelease_s) {
      kept.push_back(std::move(press));
    }
  }
  presses = std::move(kept);
}

PressesSeen seen_by_lamp(VideoWork& work, const Request& request, const StepGroup& group,
                         const FilmedGroup& filmed) {
  ModelSearch search;
  search.interval_s = work.film.clock.interval_s;
  if (request.setup.exposure_share) {
    search.exposure_s = *request.setup.exposure_share * search.interval_s;
  }
  search.lossless = work.film.lossless();
  search.coding_error = search.lossless ? 0.006 : 0.02;
  const FittedModel fitted = fit_model({}, filmed.steps, search);
  PressesSeen seen;
  const std::size_t before = work.shared.size();
  seen.presses = instants_of(work, filmed, fitted.lamp, 0.5, "lamp", "press");
  seen.shared.assign(work.shared.begin() + static_cast<std::ptrdiff_t>(before), work.shared.end());
  work.shared.resize(before);
  drop_rise_times(seen.presses);
  seen.from = "lamp";
  seen.cells = group.cells;
  seen.y_px = filmed.centre_y_px;
  seen.exposure_s = fitted.lamp.model.exposure_s;
  seen.exposure_u_s = fitted.exposure_u_s;
  return seen;
}

/// Whether it is more than what a coder leaves of noise.
bool shines(const FilmedGroup& filmed) {
  constexpr double kLeast = 0.02;
  return !filmed.heights.empty() &&
         *std::max_element(filmed.heights.begin(), filmed.heights.end()) > kLeast;
}

void see_lamps(VideoWork& work, const Request& request, const std::vector<int>& elsewhere,
               std::vector<PressesSeen>& all) {
  const std::vector<CellTrain> trains = find_cell_steps(work.film);
  for (const StepGroup& group : find_press_lamps(trains, work.film, request.setup, elsewhere)) {
    const FilmedGroup filmed = film_group(work.film, group, false);
    if (all.size() < kMostLamps && shines(filmed) && (is_sharp(filmed) || request.setup.lamp)) {
      all.push_back(seen_by_lamp(work, request, group, filmed));
    }
  }
}

void see_finger(VideoWork& work, const Request& request, std::vector<PressesSeen>& all) {
  PressesSeen seen;
  seen.cells = cells_in(*request.setup.finger, work.film);
  if (seen.cells.empty()) {
    refuse_outside(work.film.info.file, "finger");
  }
  seen.from = "finger";
  for (const int cell : seen.cells) {
    seen.y_px += work.film.layout.centre_y(cell) / static_cast<double>(seen.cells.size());
  }
  const double row_s = work.readout.delay_s(seen.y_px, work.film.info.height);
  double span_s = 0;
  for (const Stroke& stroke : find_all_strokes(work.film, seen.cells)) {
    seen.presses.push_back(press_of(work.film, stroke, row_s));
    span_s += stroke.seen_s;
  }
  if (seen.presses.empty()) {
    return;
  }
  span_s /= static_cast<double>(seen.presses.size());
  seen.shared.push_back(doubt_of_contact(span_s));
  leave_out_releases(seen.presses);
  all.push_back(std::move(seen));
}

void see_clicks(const VideoWork& work, const Request& request, std::vector<PressesSeen>& all) {
  if (!work.film.info.has_sound || work.film.clock.slowdown != 1) {
    return;
  }
  const Setup& setup = request.setup;
  PressesSeen seen;
  seen.from = "sound";
  seen.presses = find_all_clicks(request.recording,
                                 {setup.sound_distance_m.value_or(0), setup.sound_offset_s});
  if (seen.presses.empty()) {
    return;
  }
  leave_out_releases(seen.presses);
  if (setup.sound_offset_u_s) {
    seen.shared.push_back({"sound", "press", *setup.sound_offset_u_s});
  } else {
    seen.warnings.push_back(make_warning(WarningCode::kSoundOffsetUnknown, ""));
  }
  if (!setup.sound_distance_m) {
    seen.warnings.push_back(make_warning(WarningCode::kSoundDistanceUnknown, ""));
  }
  all.push_back(std::move(seen));
}

}  // namespace

std::vector<PressesSeen> see_presses(VideoWork& work, const Request& request,
                                     const std::vector<int>& elsewhere) {
  const std::string& wanted = request.setup.press_from;
  std::vector<PressesSeen> all;
  if (wanted.empty() || wanted == "lamp") {
    see_lamps(work, request, elsewhere, all);
  }
  const bool lamp_named = request.setup.lamp && !all.empty();
  if (!lamp_named && request.setup.finger && (wanted.empty() || wanted == "finger")) {
    see_finger(work, request, all);
  }
  if (!lamp_named && (wanted.empty() || wanted == "sound")) {
    see_clicks(work, request, all);
  }
  return all;
}

}  // namespace thumblight::onset
