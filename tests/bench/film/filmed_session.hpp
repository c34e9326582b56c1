#pragma once

#include <filesystem>
#include <string>
#include <vector>

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
  SessionResult session;  ///< its pairing is that of the lights
  CameraReport camera;
  std::vector<SeenPress> presses;
};

/// Runs the session and leaves in its folder, beside session.jsonl: the film camera.mp4; setup.json
/// with the camera's readout and the lamp's place; and observed.csv, the truth. Throws `Error` if
/// the session itself has a fault, which no film can mend.
FilmedSession film_session(const FilmPlan& plan);

}  // namespace thumblight::bench
