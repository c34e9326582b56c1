#pragma once

#include <vector>

#include "analysis/rehearsal/random.hpp"
#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

/// What the camera's microphone hears: a click as the button's contact closes, a quieter one as it
/// opens, and noise. Times are those of the recording.
class SoundTrack {
 public:
  explicit SoundTrack(const Truth& truth);

  /// The samples that follow, up to that time.
  std::vector<double> until(double t_s);

  /// How late the sound of a contact stands in the file: the way through the air and the offset.
  static double offset_s(const FileSettings& settings);

 private:
  struct Click {
    double at_s = 0;
    double loudness = 0;
  };

  double sample(double t_s);

  FileSettings settings_;
  Random random_;
  std::vector<Click> clicks_;
  std::size_t first_ = 0;  ///< the clicks before it have died away
  std::int64_t written_ = 0;
};

}  // namespace thumblight::rehearsal
