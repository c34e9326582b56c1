#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "analysis/onset/trace.hpp"

namespace thumblight::onset {

/// A sensor's file and how it is to be read.
struct TraceFile {
  OpenTrace open;
  std::string kind;        ///< sound or table
  int light_channel = -1;  ///< where the file itself says so
  int press_channel = -1;
  std::optional<double> nominal_hz;
  std::string why;  ///< one sentence on its clock
};

/// A sound file or a CSV of samples. Throws `Error` where it cannot be read.
TraceFile open_trace_file(const std::filesystem::path& file);

}  // namespace thumblight::onset
