#include "analysis/recording/sample_table.hpp"

#include <charconv>
#include <cmath>
#include <string_view>
#include <vector>

#include "harness/session/error.hpp"

namespace thumblight::recording {
namespace {

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kBlank = " \t\r\"";
  const std::size_t begin = text.find_first_not_of(kBlank);
  if (begin == std::string_view::npos) {
    return {};
  }
  return text.substr(begin, text.find_last_not_of(kBlank) - begin + 1);
}

std::vector<std::string> fields_of(const std::string& line) {
  std::vector<std::string> fields;
  std::size_t begin = 0;
  while (true) {
    const std::size_t comma = line.find(',', begin);
    fields.emplace_back(trimmed(std::string_view(line).substr(begin, comma - begin)));
    if (comma == std::string::npos) {
      return fields;
    }
    begin = comma + 1;
  }
}

/// A line longer than this is no line of samples.
constexpr std::size_t kLongestLine = 4096;

}  // namespace

SampleTable::SampleTable(const std::filesystem::path& file)
    : name_(file.string()), input_(file, std::ios::binary) {
  if (!input_) {
    throw Error(name_ + ": the file cannot be opened");
  }
  read_header();
}

void SampleTable::read_header() {
  std::string line;
  while (line.empty() || line[0] == '#') {
    if (!std::getline(input_, line)) {
      throw Error(name_ + ": the table is empty; its first line must be time_s,press,light");
    }
    ++line_;
  }
  const std::vector<std::string> names = fields_of(line);
  for (int i = 0; i < static_cast<int>(names.size()); ++i) {
    time_column_ = names[i] == "time_s" ? i : time_column_;
    press_column_ = names[i] == "press" ? i : press_column_;
    light_column_ = names[i] == "light" ? i : light_column_;
  }
  if (time_column_ < 0 || (press_column_ < 0 && light_column_ < 0)) {
    throw Error(name_ + ": line " + std::to_string(line_) +
                ": the columns time_s, press and light are wanted in the first line");
  }
}

double SampleTable::number(const std::string& field, const char* column) const {
  double value = 0;
  const auto [end, code] = std::from_chars(field.data(), field.data() + field.size(), value);
  if (code != std::errc() || end != field.data() + field.size() || !std::isfinite(value)) {
    throw Error(name_ + ": line " + std::to_string(line_) + ": " + column + " is '" +
                field.substr(0, 40) + "', not a number; mend or remove the line");
  }
  return value;
}

std::optional<SampleTable::Sample> SampleTable::next() {
  std::string line;
  do {
    if (!std::getline(input_, line)) {
      return std::nullopt;
    }
    ++line_;
  } while (trimmed(line).empty() || line[0] == '#');
  if (line.size() > kLongestLine) {
    throw Error(name_ + ": line " + std::to_string(line_) + " is too long to be a sample");
  }
  std::vector<std::string> fields = fields_of(line);
  const int last_column = std::max(time_column_, std::max(press_column_, light_column_));
  fields.resize(std::max(fields.size(), static_cast<std::size_t>(last_column + 1)));
  Sample sample;
  sample.time_s = number(fields[time_column_], "time_s");
  if (last_time_s_ && sample.time_s <= *last_time_s_) {
    throw Error(name_ + ": line " + std::to_string(line_) +
                ": its time does not come after the one before; sort the samples by time_s");
  }
  last_time_s_ = sample.time_s;
  if (has_press()) {
    sample.press = number(fields[press_column_], "press");
  }
  if (has_light()) {
    sample.light = number(fields[light_column_], "light");
  }
  return sample;
}

}  // namespace thumblight::recording
