#pragma once

#include <filesystem>
#include <optional>

#include "analysis/commands/split_session.hpp"
#include "analysis/report/comparison.hpp"

namespace thumblight::commands {

/// A session that has been read already, split anew from its timings and its log, so that it cannot
/// disagree with them. `path` is its folder or the result.json in it. The clock link is that of
/// `options`, else the one that result.json was made with and what that rested on, else the
/// default. Labels are the log's and, over them, those of setup.json. Throws `Error` where there
/// are no timings, or where a result.json that was named says otherwise than the timings beside it.
report::ComparedSession read_session(const std::filesystem::path& path, LinkOptions options,
                                     std::optional<double> capture_rate_hz);

}  // namespace thumblight::commands
