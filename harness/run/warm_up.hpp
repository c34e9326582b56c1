#pragma once

#include <cstdint>
#include <optional>

#include "harness/run/screen.hpp"
#include "harness/session/records.hpp"

namespace thumblight::harness {

/// Presents so many frames with the patch dark, one after another, and gives the intervals between
/// the returns of the present call. The first frames, which make the drawing code ready and can
/// take ten times as long, are left out. Empty for fewer than two frames.
std::optional<session::Intervals> warm_up(Screen& screen, int dark_level, int frames);

/// The refresh interval to pace by: the measured one where presenting waits for the refresh, else
/// that of the stated rate, else a sixtieth of a second.
std::int64_t pacing_interval_ns(const session::Display& display);

}  // namespace thumblight::harness
