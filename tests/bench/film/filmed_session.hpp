#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "harness/session/error.hpp"
#include "tests/bench/bench_session.hpp"
#include "tests/bench/film/camera_run.hpp"
#include "tests/bench/film/seen_press.hpp"

namespace thumblight::bench {

/// A session with a lamp on the key, filmed.
struct FilmPlan {
  SessionPlan session;
  std::filesystem::path camera;  ///< thumblight-screen-camera
  double rate_hz = 120;
};

/// The plan of a small screen with a window of the harness in its midst and the lamp in a corner.
FilmPlan film_plan(const std::filesystem::path& harness, const std::filesystem::path& camera,
                   const std::filesystem::path& folder, const std::string& pacing, int presses);

/// What the observer saw, what the harness wrote, and what the camera tells of its film.
struct FilmedSession {
  std::filesystem::path folder;
  SessionResult session;  ///< its pairing is that of the lights
  CameraReport camera;
  std::vector<SeenPress> presses;
};

/// A session in which the machine held one of the programs up for longer than `kLongestHoldUpMs`
/// tells of the machine, not of them. Judged by the stamps of injector, harness and observer alone.
class HeldUp : public Error {
 public:
  using Error::Error;
};
inline constexpr double kLongestHoldUpMs = 50;

/// Runs the session and leaves in its folder, beside session.jsonl: the film camera.mp4; setup.json
/// with what the person knows, the camera's readout and that a lamp shows the press; and
/// observed.csv, the truth. Throws `HeldUp`, or `Error` if the session has a fault of its own,
/// which no film can mend.
FilmedSession film_session(const FilmPlan& plan);

/// The same, up to three times until the machine holds nothing up. A session that is filmed again
/// goes into a folder of its own, with `-2` or `-3` behind its name; `tell` hears why.
FilmedSession film_session_patiently(FilmPlan plan,
                                     const std::function<void(const std::string&)>& tell);

}  // namespace thumblight::bench
