#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/onset/extract.hpp"
#include "analysis/onset/film.hpp"
#include "analysis/onset/filmed_steps.hpp"
#include "analysis/onset/readout.hpp"
#include "analysis/onset/regions.hpp"
#include "analysis/onset/step_fit.hpp"
#include "analysis/onset/warnings.hpp"

namespace thumblight::onset {

/// What the reading of one video gathers on its way to the timings.
struct VideoWork {
  Film film;
  Sights sights;
  FilmedGroup patch;
  FilmedGroup lamp;
  FittedModel fitted;
  std::vector<PressTiming> followed;  ///< presses with the change that followed, where looked for
  std::optional<Region> change;       ///< of the upright picture: looked at in place of a patch
  bool pulsed = false;                ///< the patch's light comes in pulses, as a tube's does
  Readout readout;
  std::vector<Instant> presses;
  std::vector<Instant> lights;
  std::vector<Instant> lamps;
  std::vector<int> press_cells;
  double press_y_px = 0;
  double host_lamp_y_px = 0;
  std::string press_from;
  std::vector<Warning> warnings;
  std::vector<SharedDoubt> shared;

  /// Whether the presses were found in the picture, and so on its rows.
  bool button_filmed() const { return !press_from.empty() && press_from != "sound"; }

  void warn(WarningCode doubt, const std::string& detail) {
    warnings.push_back(make_warning(doubt, detail));
  }
};

/// What is said of the recording as a whole.
RecordingInfo recording_info(const VideoWork& work, const Request& request);

/// Adds what the camera's readout leaves open to the uncertainties of the instants and to what
/// they share.
void add_readout_doubt(VideoWork& work, std::vector<PressTiming>& presses);

/// Adds every doubt of readout, clock, frames and light.
void add_doubts(VideoWork& work);

/// Adds the doubts about `presses` as they were paired.
void add_pair_doubts(VideoWork& work, const std::vector<PressTiming>& presses,
                     const Request& request);

/// A number for a sentence; independent of the locale.
std::string text_of(double value, const char* format = "%.4g");

}  // namespace thumblight::onset
