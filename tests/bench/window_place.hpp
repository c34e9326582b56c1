#pragma once

namespace thumblight::bench {

/// Where a window stands, in pixels of the screen.
struct WindowPlace {
  int x = 0;
  int y = 0;
  int width = 0;
  int height = 0;
};

}  // namespace thumblight::bench
