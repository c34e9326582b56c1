#include "analysis/recording/frame_cache.hpp"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace thumblight::recording {

bool Neighbourhood::holds(std::int64_t frame) const {
  return around.holds(frame) ||
         std::any_of(elsewhere.begin(), elsewhere.end(),
                     [frame](const Stretch& stretch) { return stretch.holds(frame); });
}

DecodedFrame FrameCache::find(std::int64_t frame) const {
  const auto found = frames_.find(frame);
  return found != frames_.end() ? found->second : nullptr;
}

void FrameCache::keep(std::int64_t frame, DecodedFrame picture, const Neighbourhood& near) {
  frames_[frame] = std::move(picture);
  while (frames_.size() > most_) {
    const auto worth = [&near](const auto& held) {
      return std::make_pair(near.holds(held.first), -std::abs(held.first - near.place));
    };
    frames_.erase(std::min_element(
        frames_.begin(), frames_.end(),
        [&worth](const auto& one, const auto& other) { return worth(one) < worth(other); }));
  }
}

std::int64_t FrameCache::run_before(std::int64_t frame, std::int64_t most) const {
  std::int64_t run = 0;
  while (run < most && holds(frame - run - 1)) {
    ++run;
  }
  return run;
}

std::int64_t FrameCache::run_after(std::int64_t frame, std::int64_t most) const {
  std::int64_t run = 0;
  while (run < most && holds(frame + run + 1)) {
    ++run;
  }
  return run;
}

}  // namespace thumblight::recording
