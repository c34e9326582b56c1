#pragma once

#include <vector>

namespace thumblight::onset {

/// How much of the change that follows presses a part of the screen shows, frame by frame around
/// one change: 0 before it, about 1 shortly after it.
struct ChangeTrace {
  std::vector<double> start_s;  ///< of each frame's exposure
  std::vector<double> amount;
  double about_s = 0;  ///< a first guess of its beginning, within a few frames
};

/// What fitting needs to know.
struct ChangeSearch {
  double interval_s = 0;  ///< between frames
  double exposure_s = 0;
  double noise = 0;  ///< standard deviation of `amount` where nothing changes
};

/// One change, placed by the common course.
struct PlacedChange {
  double begin_s = 0;
  double u_s = 0;         ///< standard deviation of what its frames leave open
  double misfit = 0;      ///< root mean square of what the course leaves over
  bool one_place = true;  ///< no other place, more than a frame and a half away, is as likely
};

/// The course that all changes of a recording share: one picture of the screen replaces another
/// every `picture_s`, and each adds its own part of the change.
struct ChangeCourse {
  std::vector<PlacedChange> changes;
  double decay_s = 0;  ///< time constant of each picture's rise
  double picture_s = 0;
  double first_part = 0;    ///< of the first changed picture
  double first_part_u = 0;  ///< its standard uncertainty
  double shared_u_s = 0;    ///< of the beginning of all changes together
};

/// Lays the traces over each other and finds where they begin. A change that starts slowly shows
/// late in any one trace; laid together they show their first picture.
ChangeCourse fit_course(const std::vector<ChangeTrace>& traces, const ChangeSearch& search);

}  // namespace thumblight::onset
