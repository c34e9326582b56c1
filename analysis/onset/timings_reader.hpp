#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "analysis/onset/timings.hpp"

namespace thumblight::onset {

/// No time is farther than this from 0, so that nanoseconds fit 64 bits.
inline constexpr double kFarthestTimeSeconds = 9e9;

/// Reads timings, whichever kind they are: `text` that begins with a brace is timings.json,
/// anything else a table made by hand.
///
/// A table has a header of `press_s,light_s[,lamp_s]` (seconds of the recording), or of
/// `press_frame,light_frame[,lamp_frame]`, which need `capture_rate_hz`; `press_u_s`, `light_u_s`
/// and `lamp_u_s` state standard uncertainties. An empty cell is an instant that was not seen; a
/// line that begins with # is a remark. A frame's instant is frame / rate with the standard
/// uncertainty of one frame time T, T/sqrt(12) (rectangular: JCGM 100:2008, 4.3.7 and F.2.2.1).
///
/// A newer major version is refused, an unknown key of timings.json passed over. Any fault throws
/// `Error` with `name` and the line or the key.
Timings read_timings(std::string_view text, const std::string& name,
                     std::optional<double> capture_rate_hz = std::nullopt);

/// The same for a file.
Timings read_timings(const std::filesystem::path& file,
                     std::optional<double> capture_rate_hz = std::nullopt);

}  // namespace thumblight::onset
