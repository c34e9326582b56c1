#pragma once

#include <CLI/App.hpp>
#include <filesystem>
#include <optional>
#include <string>

#include "analysis/commands/verbs.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/onset/timings.hpp"
#include "harness/session/records.hpp"

namespace thumblight::commands {

/// What can be said of a recording on the command line; each goes before what setup.json says.
struct RecordingOptions {
  std::optional<double> capture_rate_hz;
  std::optional<double> readout_ms;
  std::optional<double> exposure_share;
  std::optional<double> threshold;
  std::string press_from;
  std::string light_from;
  std::string patch;
  std::string lamp;
  std::string finger;
  std::string change;
  int threads = 0;
  bool no_pictures = false;
};

void add_recording_options(CLI::App& app, RecordingOptions& options);

/// setup.json (an empty path: none) with the regions that were dragged by hand in `folder`, which
/// is told unless quiet, and with what the options say instead of both.
onset::Setup setup_with(const std::filesystem::path& file, const std::filesystem::path& folder,
                        const RecordingOptions& options, const Streams& streams);

/// Reads the recording, with a line of progress on a terminal. `log` may be null; pictures go into
/// `pictures` unless that is empty or the options say none.
onset::Timings read_recording(const std::filesystem::path& recording, const onset::Setup& setup,
                              const session::Log* log, const std::filesystem::path& pictures,
                              const RecordingOptions& options, const Streams& streams);

/// What is wrong with a capture rate; empty if nothing.
std::string fault_of_rate(const std::string& text);

}  // namespace thumblight::commands
