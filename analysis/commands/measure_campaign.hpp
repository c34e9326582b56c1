#pragma once

#include <cstddef>
#include <filesystem>

#include "analysis/commands/measure_session.hpp"
#include "analysis/commands/verbs.hpp"

namespace thumblight::commands {

/// Measures every session of a campaign that has no result made from its present inputs with these
/// options by this version, `jobs` at a time (0: one a core, eight at most). A session that cannot
/// be measured is named with its fault and the others go on; `Error` is thrown at the end. May be
/// interrupted anywhere and started again, and run twice at once: a session that another program
/// is measuring is left to it, and looked at when it is done.
void measure_campaign(const std::filesystem::path& campaign, const MeasureOptions& options,
                      std::size_t jobs, const Streams& streams);

}  // namespace thumblight::commands
