#pragma once

#include <filesystem>
#include <string>

#include "analysis/marks/mark_set.hpp"
#include "analysis/onset/timings.hpp"

namespace thumblight::marks {

/// The timings with what a person said in place of what was found:
/// - a marked instant is the mean of its passes, placed within the frame by `frame_offset`, with
///   `how` "mark" and the larger of two standard uncertainties: half a frame's, and the person's
///   repeatability for so many passes (the within-person SD / sqrt(passes));
/// - presses that were added stand among the others in order of time;
/// - presses left out bear the reason;
/// - `by_hand` says how many, and how well the marks repeat.
/// Marks outside the recording are left out with a warning. Throws `Error` where marks put presses
/// out of their order in time.
onset::Timings with_marks(onset::Timings found, const MarkSet& set);

/// The same with the marks in `folder`, if any; a last line cut short is a warning.
onset::Timings with_marks_in(const std::filesystem::path& folder, onset::Timings found);

/// Timings of a recording that was not read by itself, to which marks can be added. `why` is said
/// as a warning.
onset::Timings nothing_found(const std::filesystem::path& recording, const std::string& why);

}  // namespace thumblight::marks
