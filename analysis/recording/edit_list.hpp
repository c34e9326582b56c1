#pragma once

#include <filesystem>
#include <optional>

namespace thumblight::recording {

/// What the first edit list of a video track in an MP4 or MOV file does (ISO/IEC 14496-12, 8.6.6).
/// FFmpeg applies it; a person should know that frames were cut away or shifted.
struct EditList {
  int pieces = 0;      ///< stretches of the media that are shown
  int pauses = 0;      ///< stretches of nothing
  bool speed = false;  ///< a piece is shown at another speed than it was taken
};

/// Empty where the file has none, or is no MP4.
std::optional<EditList> read_edit_list(const std::filesystem::path& file);

}  // namespace thumblight::recording
