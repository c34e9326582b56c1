#pragma once

#include <optional>
#include <string>

#include "analysis/onset/film.hpp"
#include "analysis/onset/filmed_steps.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/onset/step_fit.hpp"
#include "harness/session/records.hpp"

namespace thumblight::onset {

/// The rolling shutter: the last exposure of a frame's rows begins `time_s` after the first.
struct Readout {
  double time_s = 0;
  double u_s = 0;
  std::string source;         ///< stated, estimated or unknown
  bool bottom_first = false;  ///< the stored picture's last row is exposed first

  /// How far on the way from the row exposed first to the last one `y_px` lies, from 0 to 1.
  double way(double y_px, int height_px) const {
    return bottom_first ? 1 - y_px / height_px : y_px / height_px;
  }
  /// How much later than the frame's first exposure the row at `y_px` begins its own.
  double delay_s(double y_px, int height_px) const { return time_s * way(y_px, height_px); }
  /// Standard uncertainty of that.
  double delay_u_s(double y_px, int height_px) const { return u_s * way(y_px, height_px); }
  /// From the stored picture's first row to its last.
  double downward_s() const { return bottom_first ? -time_s : time_s; }
};

/// As stated, or unknown where it is not.
Readout stated_readout(const Setup& setup, double interval_s);

/// Stated, or told from the onset's slope over the patch: the patch is lit by the scan-out along
/// the screen's height, at a speed that the log's display gives, and is read along the stored
/// picture's rows.
Readout find_readout(const Film& film, const FilmedGroup& patch, const StepGroup& cells,
                     const FittedModel& fitted, const Setup& setup, const session::Log* log);

}  // namespace thumblight::onset
