#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "analysis/onset/timings.hpp"

/// The two forms of timings, each read by a file of its own; see timings_reader.hpp.
namespace thumblight::onset {

Timings read_timings_json(std::string_view text, const std::string& name);
Timings read_timings_table(std::string_view text, const std::string& name,
                           std::optional<double> capture_rate_hz);

/// The first instant of `presses` that is earlier than the same instant of a press before it, as
/// its place in the list and what it is ("press" or "light").
struct Disorder {
  std::size_t at = 0;
  const char* what = "";
};
std::optional<Disorder> find_disorder(const std::vector<PressTiming>& presses);

}  // namespace thumblight::onset
