#pragma once

#include <cstddef>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/timing/spacing.hpp"
#include "analysis/timing/timebase.hpp"
#include "harness/session/records.hpp"

namespace thumblight::timing {

enum class PairedBy { kPress, kLight, kOrder };

/// Places in `Log::presses` and `Timings::presses`.
struct Pair {
  std::size_t logged = 0;
  std::size_t recorded = 0;
  PairedBy by = PairedBy::kPress;
};

struct Pairing {
  std::vector<Pair> pairs;  ///< strictly increasing on both sides; empty unless clear or unchecked
  Certainty certainty = Certainty::kFailed;
};

/// On one clock a press reaches the harness within this range after its contact closed.
inline constexpr OffsetRange kDeliveryOnOneClockSeconds = {-0.020, 0.300};

/// Pairs logged presses with recorded ones: by the spacing of arrivals and presses first; then what
/// is left by light and submit, wherever the offset of the others says that they belong together
/// (a press that the camera did not see, or one whose arrival was late); and a press and an arrival
/// that are left alone between the same neighbours, within the range that a delivery has where the
/// offset of the clocks is known, else within two frames of 60 Hz about the others. Never by force:
/// what fits nothing stays alone. `log` must be in order of arrival, as the harness writes it; a
/// log that is not throws `Error`. `limits.offset_s` is host - recording, both counted from `base`.
Pairing pair_presses(const std::vector<session::Press>& log,
                     const std::vector<onset::PressTiming>& recording, const Timebase& base,
                     const SpacingLimits& limits);

}  // namespace thumblight::timing
