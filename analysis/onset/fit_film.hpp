#pragma once

#include "analysis/onset/video_work.hpp"

namespace thumblight::onset {

/// Whether the frames jump from dark to bright as a lamp does, and do not creep as a finger.
bool is_sharp(const FilmedGroup& group);

/// Finds the model that explains the lights and lamps filmed, and the camera's readout.
void fit_film(VideoWork& work, const Request& request);

}  // namespace thumblight::onset
