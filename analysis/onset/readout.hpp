#pragma once

#include <optional>
#include <string>

#include "analysis/onset/film.hpp"
#include "analysis/onset/filmed_steps.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/onset/step_fit.hpp"
#include "harness/session/records.hpp"

namespace thumblight::onset {

/// The rolling shutter: the last row's exposure begins `time_s` after the first's (negative where
/// the stored picture's last row comes first).
struct Readout {
  double time_s = 0;
  double u_s = 0;
  std::string source;  ///< stated, estimated or unknown

  /// How much later than the frame's first exposure the row at `y_px` begins its own.
  double delay_s(double y_px, int height_px) const {
    const double way = y_px / height_px;
    return time_s >= 0 ? time_s * way : -time_s * (1 - way);
  }
};

/// Stated, or told from the onset's slope over the patch: the patch is lit by the scan-out along
/// the screen's height, at a speed that the log's display gives, and is read along the stored
/// picture's rows.
Readout find_readout(const Film& film, const FilmedGroup& patch, const StepGroup& cells,
                     const FittedModel& fitted, const Setup& setup, const session::Log* log);

}  // namespace thumblight::onset
