#pragma once

#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/timing/mean_bounds.hpp"
#include "analysis/timing/split.hpp"

/// What the recording says is off at every press alike, and where in the split it falls.
///
/// A doubt of the camera's readout moves press, light and lamp one way, so portions hold the
/// difference of two: light against press for the total; for what lies across the clocks, against
/// the lamp that ties them, or the instant's own where the recording's clock is tied by other
/// means. All other doubts are held to be unrelated.
namespace thumblight::timing {

/// The timings with the readout's doubt taken out of each found instant's uncertainty, so that
/// no mean over presses lessens it and no portion holds it twice.
onset::Timings without_readout_doubt(onset::Timings timings);

/// What may shift press and light against each other, or both against the host's clock.
SharedDoubts shared_doubts(const onset::RecordingInfo& recording);

PerPortion<std::vector<SharedError>> shared_errors(const onset::RecordingInfo& recording,
                                                   ClockLinkKind link);

}  // namespace thumblight::timing
