#pragma once

#include <vector>

#include "analysis/onset/video_work.hpp"

namespace thumblight::onset {

/// The frame that is shown at a time of the frames' own line.
std::int64_t frame_at(const Film& film, double shown_s);

/// A group's instants, from the frames' time line to that of its centre row. What they share goes
/// into `work.shared`.
std::vector<Instant> instants_of(VideoWork& work, const FilmedGroup& group,
                                 const DoubtedModel& model, double share, const char* how,
                                 const char* on);

/// For what is a lamp: its rise says nothing.
void drop_rise_times(std::vector<Instant>& instants);

}  // namespace thumblight::onset
