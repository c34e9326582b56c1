#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <vector>

struct AVFrame;

namespace thumblight::recording {

using DecodedFrame = std::shared_ptr<const AVFrame>;

/// Frames `first` to `last`, both of them.
struct Stretch {
  std::int64_t first = 0;
  std::int64_t last = -1;

  bool holds(std::int64_t frame) const { return frame >= first && frame <= last; }
};

/// Where a person is in a film, and what is kept around it.
struct Neighbourhood {
  std::int64_t place = 0;
  Stretch around;                  ///< the place, and what lies behind and ahead of it
  std::vector<Stretch> elsewhere;  ///< where the person may go next

  bool holds(std::int64_t frame) const;
};

/// A bounded number of decoded frames: a frame outside the neighbourhood goes first, the farthest
/// from the place before others.
class FrameCache {
 public:
  explicit FrameCache(std::size_t most) : most_(most) {}

  std::size_t most() const { return most_; }
  std::size_t size() const { return frames_.size(); }
  /// Empty where it is not held.
  DecodedFrame find(std::int64_t frame) const;
  bool holds(std::int64_t frame) const { return frames_.count(frame) > 0; }
  void keep(std::int64_t frame, DecodedFrame picture, const Neighbourhood& near);

  /// The frames in a row that are held before `frame`, no more than `most`.
  std::int64_t run_before(std::int64_t frame, std::int64_t most) const;
  std::int64_t run_after(std::int64_t frame, std::int64_t most) const;

 private:
  std::size_t most_;
  std::map<std::int64_t, DecodedFrame> frames_;
};

}  // namespace thumblight::recording
