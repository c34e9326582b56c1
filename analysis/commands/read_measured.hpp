#pragma once

#include <filesystem>

#include "analysis/report/compared_session.hpp"

namespace thumblight::commands {

/// A session of a campaign as its result.json sums it up, without its presses, which keeps many of
/// them small; labels are those of now, not those of the measuring. Throws `Error` where it has no
/// result, or one that was made from other inputs than it holds now.
report::ComparedSession read_measured(const std::filesystem::path& session);

}  // namespace thumblight::commands
