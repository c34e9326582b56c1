#pragma once

#include "analysis/review/review.hpp"

namespace thumblight::review {

/// Throws `Error` where no window could be opened.
void require_display();

/// Shows the window until the person ends it. Throws `Error` where there is no display, or where a
/// recording can no longer be read; every mark made so far is on the disk.
void run_window(Review& review);

}  // namespace thumblight::review
