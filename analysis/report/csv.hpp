#pragma once

#include <optional>
#include <string>
#include <vector>

/// Comma-separated values as RFC 4180 has them, each line ended by a line feed.
namespace thumblight::report {

/// A text that somebody else wrote, as a cell: made `printable`, quoted where it must be, and with
/// an apostrophe before it where a spreadsheet would take it for a formula (it begins with = + - @
/// or one of their full-width forms), as OWASP's page on CSV injection advises (from memory).
std::string csv_text(const std::string& text);

/// Milliseconds to the nanosecond; empty where unknown.
std::string csv_ms(const std::optional<double>& value_ms);

std::string csv_line(const std::vector<std::string>& cells);

}  // namespace thumblight::report
