#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "analysis/recording/frame_cache.hpp"

/// Which frame is decoded next, so that stepping on and back never waits.
namespace thumblight::recording {

/// How far around a place frames are kept.
struct Reach {
  std::int64_t near = 0;       ///< before the place, fetched together with it
  std::int64_t behind = 0;     ///< before the place, kept ready; at least `near`
  std::int64_t ahead = 0;      ///< after it
  std::int64_t elsewhere = 0;  ///< on either side of each place that may be next
};

/// What `most` frames of memory allow.
Reach reach_for(std::int64_t most);

Neighbourhood neighbourhood(std::int64_t place, const std::vector<std::int64_t>& next,
                            const Reach& reach, std::int64_t frames);

/// A frame that is wanted, and how urgently.
struct Wish {
  std::int64_t frame = 0;
  bool urgent = false;  ///< the place itself, or what was fetched with it, is missing
};

/// The frame to be decoded next; empty where everything wanted is there. Frames behind come a group
/// of pictures at a time, which is why half of them may be used up before more are wished for.
std::optional<Wish> next_wish(const FrameCache& cache, const Neighbourhood& near,
                              const Reach& reach);

}  // namespace thumblight::recording
