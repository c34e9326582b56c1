#pragma once

#include "analysis/review/frame_view.hpp"

namespace thumblight::review {

/// Where the parts of the window are; none of them overlap. All in pixels of the window.
struct Layout {
  double text = 18;  ///< height of the text
  double gap = 8;
  Box title;
  Box frame;
  Box presses;
  Box details;  ///< of the press that is looked at
  Box press_trace;
  Box light_trace;
  Box times;     ///< names of the instants on the traces' axis
  Box overview;  ///< the whole recording, and which part of it is seen
  Box hints;
};

/// For any size that a window may have, from 640 x 360 on.
Layout layout_for(double width, double height);

/// The page that lies over the window: help, or reasons.
struct PageLayout {
  Box page;
  Box title;
  Box lines;
  double line = 24;  ///< height of one
};
PageLayout page_layout(const Layout& layout, double width, double height, double lines);

}  // namespace thumblight::review
