#include "analysis/onset/change_film.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/onset/change_presses.hpp"
#include "analysis/onset/change_region.hpp"
#include "analysis/onset/film_instants.hpp"
#include "analysis/onset/find_change.hpp"
#include "analysis/onset/regions.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

constexpr double kUsualExposure = 0.8;  ///< share of a frame, where nothing tells it

/// Presses by one of the ways to see them, and what followed.
struct Followed {
  PressesSeen seen;
  std::optional<ChangeRegion> region;
  ChangeAnswer answer;

  std::ptrdiff_t sure() const {
    return std::count_if(answer.changes.begin(), answer.changes.end(),
                         [](const auto& change) { return change && !change->doubtful; });
  }
};

double exposure_of(const VideoWork& work, const Setup& setup, const PressesSeen& seen) {
  if (setup.exposure_share || seen.exposure_s <= 0) {
    return setup.exposure_share.value_or(kUsualExposure) * work.film.clock.interval_s;
  }
  return seen.exposure_s;
}

Followed follow(VideoWork& work, const Request& request, PressesSeen seen, RegionFilm* kept) {
  Followed followed;
  ChangeQuestion question;
  for (const Instant& press : seen.presses) {
    question.press_s.push_back(press.t_s);
  }
  followed.region = kept != nullptr ? named_region(work.film, *kept)
                                    : region_after_presses(work.film, question.press_s, seen.cells);
  followed.answer.changes.resize(seen.presses.size());
  if (followed.region) {
    const ChangeRegion& region = *followed.region;
    const double middle_px = region.top_px + region.layout.height / 2.0;
    const double row_s = work.readout.delay_s(middle_px, work.film.info.height);
    for (double& press_s : question.press_s) {
      press_s -= row_s;
    }
    question.levels = region.levels;
    question.layout = region.layout;
    question.film = &work.film;
    question.exposure_s = exposure_of(work, request.setup, seen);
    followed.answer = find_changes(question);
  }
  followed.seen = std::move(seen);
  return followed;
}

[[noreturn]] void refuse_no_press(const Film& film) {
  throw Error(film.info.file +
              ": no press is seen in it, so nothing tells which change answers one; wire a lamp to "
              "the button, or name where lamp or finger are (regions.lamp, regions.finger in "
              "setup.json)");
}

/// The presses that the screen answers; of several kinds the best that is answered as often.
Followed choose_presses(VideoWork& work, const Request& request, RegionFilm* kept) {
  const std::vector<int> elsewhere =
      request.setup.change ? cells_in(*request.setup.change, work.film) : std::vector<int>{};
  std::vector<PressesSeen> all = see_presses(work, request, elsewhere);
  if (all.empty()) {
    refuse_no_press(work.film);
  }
  std::optional<Followed> best;
  for (PressesSeen& seen : all) {
    Followed followed = follow(work, request, std::move(seen), kept);
    const auto enough = 0.5 * static_cast<double>(followed.seen.presses.size());
    if (!best || followed.sure() > best->sure()) {
      best = std::move(followed);
    }
    if (static_cast<double>(best->sure()) > enough) {
      break;
    }
  }
  return *std::move(best);
}

Instant instant_of(const VideoWork& work, const Change& change, double rise_s, double row_s) {
  Instant light;
  const double shown_s = change.begin_s + rise_s;
  light.t_s = shown_s + row_s;
  light.u_s = change.u_s;
  light.how = "change";
  light.frame = frame_at(work.film, shown_s);
  return light;
}

void warn_of_changes(VideoWork& work, const ChangeAnswer& answer) {
  const auto found = std::count_if(answer.changes.begin(), answer.changes.end(),
                                   [](const auto& change) { return change.has_value(); });
  const auto doubtful =
      std::count_if(answer.changes.begin(), answer.changes.end(),
                    [](const auto& change) { return change && change->doubtful; });
  constexpr double kFew = 0.3;
  if (static_cast<double>(found) < kFew * static_cast<double>(answer.changes.size())) {
    work.warn(WarningCode::kChangeUnseen, "");
  }
  if (answer.slow) {
    work.warn(WarningCode::kChangeSlow, "");
  }
  if (doubtful > 0) {
    work.warn(WarningCode::kChangeDoubtful,
              std::to_string(doubtful) + " of " + std::to_string(answer.changes.size()));
  }
}

}  // namespace

void find_change_instants(VideoWork& work, const Request& request, RegionFilm* kept) {
  work.readout = stated_readout(request.setup, work.film.clock.interval_s);
  Followed followed = choose_presses(work, request, kept);
  const ChangeAnswer& answer = followed.answer;
  const PressesSeen& seen = followed.seen;
  const double row_px = followed.region ? followed.region->top_px + answer.row_px : 0;
  const double row_s = work.readout.delay_s(row_px, work.film.info.height);
  const double rise_s = share_time_s({0, answer.decay_s}, request.setup.threshold);
  for (std::size_t k = 0; k < seen.presses.size(); ++k) {
    PressTiming timing;
    timing.index = static_cast<std::int64_t>(k);
    timing.press = seen.presses[k];
    if (answer.changes[k]) {
      timing.light = instant_of(work, *answer.changes[k], rise_s, row_s);
    } else {
      timing.flags.emplace_back("no-light");
    }
    if (answer.changes[k] && answer.changes[k]->doubtful) {
      timing.flags.emplace_back(kDoubtful);
    }
    work.followed.push_back(std::move(timing));
  }
  work.change = followed.region ? followed.region->upright : Region{};
  work.patch.centre_y_px = row_px;
  work.press_from = seen.from;
  work.press_cells = seen.cells;
  work.press_y_px = seen.y_px;
  work.fitted.lamp.model.exposure_s = seen.exposure_s;
  work.fitted.exposure_u_s = seen.exposure_u_s;
  work.shared.insert(work.shared.end(), seen.shared.begin(), seen.shared.end());
  work.warnings.insert(work.warnings.end(), seen.warnings.begin(), seen.warnings.end());
  if (answer.shared_u_s > 0) {
    work.shared.push_back({"change", "light", answer.shared_u_s});
  }
  warn_of_changes(work, answer);
}

}  // namespace thumblight::onset
