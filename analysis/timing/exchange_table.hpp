#pragma once

#include <filesystem>
#include <istream>
#include <string>
#include <vector>

#include "harness/session/records.hpp"

namespace thumblight::timing {

/// Reads exchanges from a CSV whose first line names the columns `t1_ns,t2_s,t3_s,t4_ns` in any
/// order: t1 and t4 whole nanoseconds of the host, t2 and t3 seconds of the recording. Blank lines
/// and lines that begin with # are passed over. Throws `Error` with file and line.
std::vector<session::Exchange> read_exchange_table(const std::filesystem::path& file);
std::vector<session::Exchange> read_exchange_table(std::istream& input, const std::string& name);

}  // namespace thumblight::timing
