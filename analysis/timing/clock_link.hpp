#pragma once

#include <optional>
#include <string_view>

#include "analysis/onset/timings.hpp"
#include "analysis/timing/drift.hpp"

namespace thumblight::timing {

/// What ties the host's clock to the recording's; docs of each in `split.hpp`.
enum class ClockLinkKind { kNone, kCausality, kLamp, kExchange, kShared };

const char* name(ClockLinkKind kind);
std::optional<ClockLinkKind> clock_link_of(std::string_view name);

/// Whether the link gives one clock, and with it the delivery and the screen of every press.
bool gives_offset(ClockLinkKind kind);

/// The link to use where none is asked for: none without a log, shared where the recording is
/// stamped on the host's clock, else causality.
ClockLinkKind default_clock_link(const onset::RecordingClock& clock, bool has_log);

}  // namespace thumblight::timing
