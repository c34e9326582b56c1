#include "analysis/report/csv.hpp"

#include <array>
#include <string_view>

#include "analysis/report/numbers.hpp"

namespace thumblight::report {
namespace {

/// The last four are the full-width forms, which some spreadsheets take for the others.
constexpr std::array<std::string_view, 8> kFormulaSigns = {
    "=", "+", "-", "@", "\xEF\xBC\x9D", "\xEF\xBC\x8B", "\xEF\xBC\x8D", "\xEF\xBC\xA0"};

/// Spreadsheets trim what stands before the sign.
bool looks_like_formula(std::string_view text) {
  const std::size_t first = text.find_first_not_of(' ');
  if (first == std::string_view::npos) {
    return false;
  }
  for (const std::string_view sign : kFormulaSigns) {
    if (text.substr(first).starts_with(sign)) {
      return true;
    }
  }
  return false;
}

}  // namespace

std::string csv_text(const std::string& text) {
  std::string safe = printable(text);
  if (looks_like_formula(safe)) {
    safe.insert(safe.begin(), '\'');
  }
  if (safe.find_first_of("\",;'") == std::string::npos) {
    return safe;
  }
  std::string quoted = "\"";
  for (const char c : safe) {
    quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  }
  return quoted + '"';
}

std::string csv_ms(const std::optional<double>& value_ms) {
  constexpr int kNanoseconds = 6;
  return value_ms ? fixed(*value_ms, kNanoseconds) : "";
}

std::string csv_line(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t k = 0; k < cells.size(); ++k) {
    line += (k == 0 ? "" : ",") + cells[k];
  }
  return line + '\n';
}

}  // namespace thumblight::report
