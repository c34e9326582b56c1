#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/rehearsal/settings.hpp"
#include "analysis/rehearsal/truth.hpp"

/// Rehearsed games that keep no log, read by `extract` and held against their truth.
namespace thumblight::test {

struct ChangeScene {
  std::string name;
  rehearsal::Settings settings;
  bool hard = false;  ///< so slow or so hidden that all may be doubted
};

/// A figure that jumps (large, small, faint, slow), breathes or poses meanwhile; a scrolling
/// ground; a blinking title; a menu; a dark room; strong compression; other refreshes.
std::vector<ChangeScene> change_scenes();
const ChangeScene& change_scene(const std::vector<ChangeScene>& all, const std::string& name);

/// What was read of one film.
struct ChangeScore {
  int presses = 0;             ///< true ones
  int found = 0;               ///< not flagged
  int flagged = 0;             ///< doubtful
  int unseen = 0;              ///< without a light
  int covered = 0;             ///< found within two standard uncertainties
  double bias = 0;             ///< of those found, in frames of the camera
  double sd = 0;               ///< the same
  double worst = 0;            ///< the same, of absolute value
  std::vector<double> errors;  ///< of those found, in frames
};

/// Rehearses a scene into the folder, which must not be there, and reads it.
ChangeScore score_scene(const ChangeScene& scene, std::uint64_t seed,
                        const std::filesystem::path& folder);

/// Holds timings against the truth.
ChangeScore score_changes(const onset::Timings& timings, const rehearsal::Truth& truth);

/// Joins the scores of several films.
ChangeScore joined(const std::vector<ChangeScore>& scores);

}  // namespace thumblight::test
