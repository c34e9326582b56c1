#pragma once

#include <cstddef>
#include <vector>

namespace thumblight::onset {

/// Takes what swings with lamps on the mains (100 and 120 Hz, by themselves or as the frames make
/// slower swings of them) out of the levels of some frames in a row. `levels` holds one frame after
/// the other, `cells` values each, `time_s` the frames' times. A swing that would be slower than
/// three in the whole stretch is left, since steps would go with it.
void take_out_mains(const std::vector<double>& time_s, std::size_t cells,
                    std::vector<float>& levels);

}  // namespace thumblight::onset
