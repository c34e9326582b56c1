#pragma once

#include <cstdint>
#include <functional>

#include "analysis/onset/film.hpp"
#include "analysis/onset/grey_copy.hpp"
#include "analysis/onset/timings.hpp"
#include "analysis/recording/picture.hpp"

/// The pictures that show a person what was found.
namespace thumblight::onset {

/// Gives the copy of a frame, empty where there is none.
using CopyOf = std::function<GreyCopy(std::int64_t frame)>;

/// The frames around one press and its light, side by side: the button's part above, the patch's
/// below. Empty where no frame is there.
recording::Picture press_strip(const Film& film, const PressTiming& press, const CameraInfo& camera,
                               int step, const CopyOf& copy_of);

/// The whole picture with the regions outlined; `patch_name` says what the patch's region is.
recording::Picture region_map(const GreyCopy& copy, const CameraInfo& camera, int step,
                              const char* patch_name);

}  // namespace thumblight::onset
