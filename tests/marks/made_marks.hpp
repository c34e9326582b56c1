#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/marks/encode.hpp"
#include "analysis/marks/records.hpp"
#include "analysis/onset/timings.hpp"

namespace thumblight::test {

inline onset::Instant instant(double t_s, const std::string& how) {
  onset::Instant instant;
  instant.t_s = t_s;
  instant.u_s = 0.0002;
  instant.how = how;
  return instant;
}

/// A press a second from 1 s on, each with its light 50 ms later, in a film of 240 images a second
/// that were exposed for their whole time.
inline onset::Timings found_timings(int presses = 5) {
  onset::Timings timings;
  timings.recording.file = "camera.mp4";
  timings.recording.kind = "video";
  timings.recording.clock.rate_hz = 240;
  timings.recording.camera.emplace();
  timings.recording.camera->frames = 240 * (presses + 2);
  timings.recording.camera->exposure_s = 0.5 / 240;
  for (int k = 0; k < presses; ++k) {
    onset::PressTiming& press = timings.presses.emplace_back();
    press.index = k;
    press.press = instant(1.0 + k, "lamp");
    press.light = instant(1.05 + k, "step");
  }
  return timings;
}

inline marks::Mark mark(std::int64_t index, marks::What what, double t_s, int pass = 1) {
  marks::Mark made;
  made.at.index = index;
  made.what = what;
  made.t_s = t_s;
  made.u_s = marks::frame_u_s(1.0 / 240);
  made.frame = static_cast<std::int64_t>(t_s * 240 + 0.5);
  made.pass = pass;
  return made;
}

/// The actions as the lines of a file would number them.
inline std::vector<marks::Entry> entries(const std::vector<marks::Action>& actions) {
  std::vector<marks::Entry> list;
  for (const marks::Action& action : actions) {
    list.push_back(
        {static_cast<std::int64_t>(list.size()) + 1, "2026-03-01T18:00:00.000Z", action});
  }
  return list;
}

inline std::string file_of(const std::vector<marks::Entry>& list) {
  std::string text = marks::encode_header("2026-03-01T18:00:00.000Z") + '\n';
  for (const marks::Entry& entry : list) {
    text += marks::encode(entry) + '\n';
  }
  return text;
}

}  // namespace thumblight::test
