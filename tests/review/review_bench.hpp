#pragma once

#include <memory>
#include <string>
#include <vector>

#include "analysis/marks/marks_reader.hpp"
#include "analysis/review/review.hpp"
#include "tests/support/temporary_folder.hpp"

namespace thumblight::test {

inline onset::Instant instant(double t_s, double u_s, std::int64_t frame) {
  onset::Instant made;
  made.t_s = t_s;
  made.u_s = u_s;
  made.how = "lamp";
  made.frame = frame;
  return made;
}

/// Presses in frames 100, 200, ..., their lights eight frames later, at 240 frames a second.
inline onset::Timings found_presses(int presses) {
  onset::Timings timings;
  timings.recording.kind = "video";
  timings.recording.camera.emplace();
  timings.recording.camera->patch = onset::Region{100, 50, 40, 30};
  for (int k = 0; k < presses; ++k) {
    const std::int64_t frame = 100 * (k + 1);
    onset::PressTiming press;
    press.index = k;
    press.press = instant(static_cast<double>(frame) / 240 + 0.001, 0.0002, frame);
    press.light = instant(static_cast<double>(frame + 8) / 240 + 0.002, 0.0001, frame + 8);
    timings.presses.push_back(press);
  }
  return timings;
}

/// A session without a film, whose frames have numbers and times alone.
inline std::unique_ptr<review::ReviewedSession> made_session(const std::filesystem::path& folder,
                                                             onset::Timings found,
                                                             std::int64_t frames = 2000) {
  std::filesystem::create_directories(folder);
  review::ReviewedFrames film;
  film.index.info.width = 640;
  film.index.info.height = 360;
  for (std::int64_t frame = 0; frame < frames; ++frame) {
    film.index.stamps.push_back(frame);
    film.clock.time_s.push_back(static_cast<double>(frame) / 240);
  }
  film.clock.interval_s = 1.0 / 240;
  return std::unique_ptr<review::ReviewedSession>(
      new review::ReviewedSession{folder, std::move(film), {folder, std::move(found)}});
}

inline review::Review review_of(std::unique_ptr<review::ReviewedSession> session,
                                review::ReviewOptions options = {}) {
  std::vector<std::unique_ptr<review::ReviewedSession>> sessions;
  sessions.push_back(std::move(session));
  review::Review made(std::move(sessions), options);
  made.frame_view().set_window({0, 0, 640, 360});
  return made;
}

/// Keys one after another, by their names with spaces between them.
inline void press_all(review::Review& review, const std::string& keys) {
  std::size_t at = 0;
  while (at < keys.size()) {
    const std::size_t space = std::min(keys.find(' ', at), keys.size());
    review.press(keys.substr(at, space - at));
    review.let_go();
    at = space + 1;
  }
}

/// The marks in a folder as another program reads them.
inline marks::MarkSet marks_in(const std::filesystem::path& folder, const onset::Timings& found) {
  return {marks::read_marks(folder / marks::kMarksName).entries, found};
}

}  // namespace thumblight::test
