#pragma once

#include <vector>

namespace thumblight::onset {

/// How much of the change that follows presses a part of the screen shows, frame by frame around
/// one change: 0 before it, about 1 while its first picture stands.
struct ChangeTrace {
  std::vector<double> start_s;  ///< of each frame's exposure
  std::vector<double> amount;
  double about_s = 0;  ///< a first guess of its beginning, within a frame
};

/// What fitting needs to know.
struct ChangeSearch {
  double interval_s = 0;  ///< between frames
  double exposure_s = 0;
  bool lossless = false;  ///< the coder gave back every level as it was
  double noise = 0;       ///< standard deviation of `amount` where nothing changes
};

/// One change, placed.
struct PlacedChange {
  double begin_s = 0;
  double u_s = 0;             ///< standard deviation of what its frames leave open
  double misfit = 0;          ///< root mean square of what a step leaves over
  bool stirs_before = false;  ///< the picture before may have changed too
};

/// The first changed picture of all changes of a recording.
struct FirstPictures {
  std::vector<PlacedChange> changes;
  double decay_s = 0;     ///< time constant of the picture's rise
  double shared_u_s = 0;  ///< of the beginning of all changes together
  double growth = 1;      ///< what the second picture shows of the first, in the middle of all
  bool hidden = false;    ///< a picture before it may have changed, by less than can be told
};

/// Lays the traces over each other to find how the first picture rises, places each change, and
/// goes back to pictures before it that changed too little to show in any one trace.
FirstPictures place_first_pictures(const std::vector<ChangeTrace>& traces,
                                   const ChangeSearch& search);

}  // namespace thumblight::onset
