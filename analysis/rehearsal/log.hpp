#pragma once

#include <filesystem>
#include <vector>

#include "analysis/rehearsal/truth.hpp"
#include "harness/session/records.hpp"

namespace thumblight::rehearsal {

/// What the harness would have logged, in order.
std::vector<session::Record> log_records(const Truth& truth);

/// Writes them with the harness's own writer. Never over an existing file.
void write_log(const Truth& truth, const std::filesystem::path& file);

}  // namespace thumblight::rehearsal
