#pragma once

#include <cstdint>
#include <optional>

#include "harness/pages/page.hpp"

namespace thumblight::harness {

/// When a frame was handed over, and when the present call came back.
struct FrameTimes {
  std::int64_t submit_ns = 0;
  std::int64_t present_ns = 0;
};

class Screen {
 public:
  virtual ~Screen() = default;

  virtual Size size() const = 0;

  /// Prepares what stands around the patch in the frames to come. Draws nothing.
  virtual void set_page(const Page& page) = 0;

  /// Draws and presents one frame: the page and, where a level is given, the patch in that grey.
  virtual FrameTimes show(std::optional<int> patch_level) = 0;
};

}  // namespace thumblight::harness
