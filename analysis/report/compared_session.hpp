#pragma once

#include <optional>
#include <string>

#include "analysis/report/result.hpp"
#include "harness/session/records.hpp"

namespace thumblight::report {

/// One set-up: its whole result, and the head of its log where it has one.
struct ComparedSession {
  std::string path;  ///< as it was named
  std::string name;  ///< what sentences call it, by what sets it apart; set by compare_sessions
  Result result;     ///< its labels name the set-up
  std::optional<session::Header> header;
};

}  // namespace thumblight::report
