#pragma once

#include <cstdint>
#include <vector>

#include "analysis/marks/mark_set.hpp"

namespace thumblight::marks {

/// What a look with the earlier marks hidden is to show.
struct Again {
  int pass = 2;
  std::vector<std::int64_t> presses;  ///< to be marked in this pass, in order of their index
};

/// The next look: presses that bear a mark and are not left out. A pass that was begun is gone on
/// with, without the presses that it has marked as the earlier ones did; once it is whole, another
/// pass shows them all. Empty where nothing was marked.
Again look_again(const MarkSet& set);

/// A press as a person may see it in this pass: of a later pass than the first, its own marks
/// alone.
PressMarks as_seen_in(int pass, PressMarks press);

}  // namespace thumblight::marks
