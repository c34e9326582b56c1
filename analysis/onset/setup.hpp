#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "analysis/onset/timings.hpp"

namespace thumblight::onset {

/// What only the person knows of a recording: the part of setup.json that reading it needs.
struct Setup {
  std::string recording;  ///< name of the recording in the folder; empty where it is not told
  std::optional<double> capture_rate_hz;
  std::optional<double> readout_s;       ///< from the first row's exposure to the last row's
  bool bottom_row_first = false;         ///< the sensor reads the stored picture upwards
  std::optional<double> exposure_share;  ///< of a frame's time
  double threshold = 0.1;                ///< share of the step that counts as light
  std::string press_from;       ///< lamp, finger, sound or contact; empty: whatever is found
  std::string light_from;       ///< step or change; empty: step
  std::optional<Region> patch;  ///< pixels of the upright picture
  std::optional<Region> lamp;   ///< on the button
  std::optional<Region> finger;
  std::optional<Region> host_lamp;
  std::optional<Region> change;            ///< what a press changes, where no log and no patch is
  std::optional<double> sound_distance_m;  ///< from the button to the microphone
  double sound_offset_s = 0;               ///< sound comes this much late in the file
  std::optional<double> sound_offset_u_s;
  std::optional<int> light_channel;  ///< of a sensor's sound file, from 0
  std::optional<int> press_channel;
  std::optional<double> lamp_lag_min_s;  ///< of a lamp that the host switches: it lights so long
  std::optional<double> lamp_lag_max_s;  ///< after it is switched, at least and at most
};

/// Reads setup.json; a file that is not there is an empty set-up. Keys it does not know are passed
/// over. Throws `Error` with file and key.
Setup read_setup(const std::filesystem::path& file);

}  // namespace thumblight::onset
