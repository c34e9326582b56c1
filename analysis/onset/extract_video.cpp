#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>

#include "analysis/onset/change_film.hpp"
#include "analysis/onset/click.hpp"
#include "analysis/onset/evidence.hpp"
#include "analysis/onset/extract.hpp"
#include "analysis/onset/film_instants.hpp"
#include "analysis/onset/fit_film.hpp"
#include "analysis/onset/movement.hpp"
#include "analysis/onset/moving_cells.hpp"
#include "analysis/onset/pair_instants.hpp"
#include "analysis/onset/video_work.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

constexpr double kSlowest_hz = 49;  ///< below this nothing about a press can be told

/// What to say where the rate is hopeless, with a hint where the log knows better.
[[noreturn]] void refuse_rate(const VideoWork& work) {
  const double rate_hz = 1 / work.film.clock.interval_s;
  std::string advice =
      "record at 120 or more, or, if the file is slow motion, state the rate at which it was "
      "captured (capture_rate_hz in setup.json)";
  if (work.sights.wrong_rate < 0.9) {
    advice = "the log's rhythm says that it is slow motion captured at about " +
             text_of(rate_hz / work.sights.wrong_rate, "%.0f") +
             " a second: state that (capture_rate_hz in setup.json)";
  }
  throw Error(work.film.info.file + ": at " + text_of(rate_hz) +
              " frames a second no delay of a press can be told; " + advice);
}

/// Brightest level in the film, from a frame here and there.
float brightest_level(Film& film) {
  float most = 0;
  const std::int64_t stride = std::max<std::int64_t>(1, film.frames() / 64);
  for (std::int64_t frame = 0; frame < film.frames(); frame += stride) {
    const std::vector<float> levels = film.levels->read(frame, 1);
    most = std::max(most, *std::max_element(levels.begin(), levels.end()));
  }
  return most;
}

[[noreturn]] void refuse_dark(VideoWork& work) {
  constexpr float kBlack = 0.003F;
  if (brightest_level(work.film) < kBlack) {
    throw Error(work.film.info.file +
                ": the whole video is black; open the lens or raise the exposure, and film again");
  }
  throw Error(work.film.info.file +
              ": no flash is seen in it; keep the patch in the picture, or name its place "
              "(regions.patch in setup.json)");
}

/// Whether change stands in for a flash: where the person says so, and where there is neither log
/// nor patch but a region of change.
bool takes_change(const VideoWork& work, const Request& request) {
  const bool no_flash = !work.sights.patch || work.sights.patch->ups.empty();
  return request.setup.light_from == "change" ||
         (request.setup.light_from.empty() && request.log == nullptr && request.setup.change &&
          !request.setup.patch && no_flash);
}

void look(VideoWork& work, const Request& request) {
  if (request.setup.light_from != "change") {
    const std::vector<CellTrain> trains = find_cell_steps(work.film);
    work.sights = find_sights(trains, work.film, request.setup, request.log);
  }
  if (1 / work.film.clock.interval_s < kSlowest_hz) {
    refuse_rate(work);
  }
  if (takes_change(work, request)) {
    return;
  }
  if (!work.sights.patch || work.sights.patch->ups.empty()) {
    refuse_dark(work);
  }
  if (request.log == nullptr) {
    return;
  }
  const std::size_t flashes = flash_times_s(*request.log).size();
  if (!work.sights.schedule && flashes >= 4 && work.sights.patch->ups.size() >= 4) {
    throw Error(work.film.info.file +
                ": its lights do not follow the flashes of the log; give the log and the recording "
                "of one session");
  }
}

/// Follows patch and lamp closely through all their steps.
void film_groups(VideoWork& work, const Request& request) {
  work.patch = film_group(work.film, *work.sights.patch, true);
  if (work.patch.steps.empty()) {
    refuse_dark(work);
  }
  if (work.sights.lamp) {
    work.lamp = film_group(work.film, *work.sights.lamp, false);
    if (!is_sharp(work.lamp) && !request.setup.lamp) {
      work.sights.lamp.reset();
      work.lamp = {};
    }
  }
}

double mean_height_px(const std::vector<int>& cells, const recording::GridLayout& layout) {
  double sum = 0;
  for (const int cell : cells) {
    sum += layout.centre_y(cell) / static_cast<double>(cells.size());
  }
  return sum;
}

/// Presses from the finger's movement, one before each light.
void press_by_finger(VideoWork& work, const Request& request) {
  std::vector<double> light_s;
  for (const Instant& light : work.lights) {
    light_s.push_back(light.t_s);
  }
  const Sights& sights = work.sights;
  std::vector<int> cells =
      request.setup.finger
          ? cells_in(*request.setup.finger, work.film)
          : find_moving_cells(work.film, light_s, *sights.patch,
                              sights.host_lamp ? sights.host_lamp->cells : std::vector<int>{});
  if (cells.empty()) {
    return;
  }
  work.press_y_px = mean_height_px(cells, work.film.layout);
  const double row_s = work.readout.delay_s(work.press_y_px, work.film.info.height);
  double span_s = 0;
  for (const std::optional<Stroke>& stroke : find_strokes(work.film, cells, light_s)) {
    if (!stroke) {
      continue;
    }
    work.presses.push_back(press_of(work.film, *stroke, row_s));
    span_s += stroke->seen_s;
  }
  if (work.presses.empty()) {
    return;
  }
  span_s /= static_cast<double>(work.presses.size());
  work.press_from = "finger";
  work.press_cells = std::move(cells);
  work.shared.push_back(doubt_of_contact(span_s));
}

void press_by_sound(VideoWork& work, const Request& request) {
  if (!work.film.info.has_sound || work.film.clock.slowdown != 1) {
    return;
  }
  std::vector<double> light_s;
  for (const Instant& light : work.lights) {
    light_s.push_back(light.t_s);
  }
  ClickSearch search;
  search.distance_m = request.setup.sound_distance_m.value_or(0);
  search.offset_s = request.setup.sound_offset_s;
  work.presses = find_clicks(request.recording, light_s, search);
  if (work.presses.empty()) {
    return;
  }
  work.press_from = "sound";
  if (request.setup.sound_offset_u_s) {
    work.shared.push_back({"sound", "press", *request.setup.sound_offset_u_s});
  } else {
    work.warn(WarningCode::kSoundOffsetUnknown, "");
  }
  if (!request.setup.sound_distance_m) {
    work.warn(WarningCode::kSoundDistanceUnknown, "");
  }
}

void find_instants(VideoWork& work, const Request& request) {
  const FittedModel& fitted = work.fitted;
  work.lights =
      instants_of(work, work.patch, fitted.light, request.setup.threshold, "step", "light");
  if (work.pulsed) {
    drop_rise_times(work.lights);
  }
  const std::string& wanted = request.setup.press_from;
  if (work.sights.lamp) {
    work.presses = instants_of(work, work.lamp, fitted.lamp, 0.5, "lamp", "press");
    drop_rise_times(work.presses);
    work.press_from = "lamp";
    work.press_y_px = work.lamp.centre_y_px;
    work.press_cells = work.sights.lamp->cells;
  }
  if (work.presses.empty() && wanted != "sound" && wanted != "lamp") {
    press_by_finger(work, request);
  }
  if (work.presses.empty() && (wanted.empty() || wanted == "sound")) {
    press_by_sound(work, request);
  }
  if (work.sights.host_lamp) {
    const FilmedGroup host = film_group(work.film, *work.sights.host_lamp, false);
    work.host_lamp_y_px = host.centre_y_px;
    work.lamps = instants_of(work, host, fitted.lamp, 0.5, "lamp", "lamp");
    drop_rise_times(work.lamps);
  }
}

/// The flashes of a patch and the presses before them.
std::vector<PressTiming> find_flashes(VideoWork& work, const Request& request) {
  film_groups(work, request);
  fit_film(work, request);
  find_instants(work, request);
  return pair_instants(work.presses, work.lights, work.lamps);
}

}  // namespace

Timings extract_video(const Request& request) {
  const auto source = recording::open_frames(request.recording, request.threads);
  EvidenceKeeper keeper(*source);
  Witnesses witnesses;
  witnesses.add(request.evidence.empty() ? nullptr : &keeper);
  std::optional<RegionKeeper> region;
  if (request.setup.change) {
    witnesses.add(&region.emplace(source->info(), *request.setup.change, "change"));
  }
  VideoWork work;
  work.film = read_film(*source, request.setup.capture_rate_hz, &witnesses, request.progress);
  look(work, request);
  Timings timings;
  if (takes_change(work, request)) {
    RegionFilm kept = region ? region->take() : RegionFilm{};
    find_change_instants(work, request, region ? &kept : nullptr);
    timings.presses = work.followed;
  } else {
    timings.presses = find_flashes(work, request);
  }
  add_readout_doubt(work, timings.presses);
  add_doubts(work);
  add_pair_doubts(work, timings.presses, request);
  timings.recording = recording_info(work, request);
  timings.warnings = work.warnings;
  if (!request.evidence.empty()) {
    keeper.write(work.film, timings, request.evidence);
  }
  return timings;
}

}  // namespace thumblight::onset
