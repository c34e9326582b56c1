#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/marks/records.hpp"

namespace thumblight::marks {

/// What a file of marks holds.
struct MarkLog {
  std::vector<Entry> entries;
  bool has_header = false;
  bool cut = false;             ///< the last line was cut short and is left out
  std::size_t whole_bytes = 0;  ///< up to where the file is good
  bool open_end = false;        ///< the last good line lacks its line feed
};

/// Reads marks. Strict on the records and keys it knows, deaf to those it does not. A last line
/// that was cut short is left out and told of (`cut`), as is all of a file whose header was; a
/// fault anywhere else throws `Error` with `name`, line and key. A newer major version is refused.
MarkLog read_marks(std::string_view text, const std::string& name);

/// The same for a file; one that is not there holds no marks.
MarkLog read_marks(const std::filesystem::path& file);

}  // namespace thumblight::marks
