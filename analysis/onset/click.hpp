#pragma once

#include <filesystem>
#include <vector>

#include "analysis/onset/timings.hpp"

namespace thumblight::onset {

/// Dry air at 20 °C (ISO 9613-1:1993, reference conditions: 343.2 m/s).
inline constexpr double kSoundSpeed_mps = 343.2;

struct ClickSearch {
  double distance_m = 0;  ///< from the button to the microphone
  double offset_s = 0;    ///< sound comes this much late in the file
};

/// The click of each press in the recording's sound, from the last sudden rise before each light;
/// times are those of the press itself. Empty where no sound rises before most lights.
std::vector<Instant> find_clicks(const std::filesystem::path& recording,
                                 const std::vector<double>& light_s, const ClickSearch& search);

/// Every sudden rise in the recording's sound that is not much fainter than the others, whatever
/// follows it; times are those of presses.
std::vector<Instant> find_all_clicks(const std::filesystem::path& recording,
                                     const ClickSearch& search);

}  // namespace thumblight::onset
