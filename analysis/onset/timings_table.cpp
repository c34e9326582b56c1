#include <array>
#include <charconv>
#include <cmath>

#include "analysis/onset/timings_forms.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "analysis/onset/warnings.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

constexpr std::size_t kLongestLine = 4096;
constexpr std::size_t kInstants = 3;
constexpr std::array<const char*, kInstants> kNames = {"press", "light", "lamp"};

[[noreturn]] void fail(const std::string& name, std::size_t line, const std::string& what) {
  throw Error(name + ", line " + std::to_string(line) + ": " + what);
}

/// A cell as a fault shows it: short, and in printable characters alone.
std::string quote(std::string_view cell) {
  std::string shown = "'";
  for (const char c : cell.substr(0, 40)) {
    shown += c >= ' ' && c <= '~' ? c : '?';
  }
  return shown + (cell.size() > 40 ? "...'" : "'");
}

std::string_view trim(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) {
    return {};
  }
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

std::vector<std::string_view> split_cells(std::string_view line) {
  std::vector<std::string_view> cells;
  for (;;) {
    const std::size_t comma = line.find(',');
    cells.push_back(trim(line.substr(0, comma)));
    if (comma == std::string_view::npos) {
      return cells;
    }
    line.remove_prefix(comma + 1);
  }
}

/// The lines of a table that are neither blank nor remarks.
class Lines {
 public:
  Lines(std::string_view text, const std::string& name) : rest_(text), name_(name) {}

  /// The next line; empty at the end.
  std::optional<std::string_view> next() {
    while (!rest_.empty()) {
      const std::string_view line = trim(take());
      if (!line.empty() && line.front() != '#') {
        return line;
      }
    }
    return std::nullopt;
  }

  std::size_t number() const { return number_; }
  const std::string& name() const { return name_; }

 private:
  std::string_view take() {
    ++number_;
    const std::size_t end = rest_.find('\n');
    const std::string_view line = rest_.substr(0, end);
    if (line.size() > kLongestLine) {
      fail(name_, number_, "the line is longer than 4 KiB, so this is no table of timings");
    }
    rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
    return line;
  }

  std::string_view rest_;
  std::string name_;
  std::size_t number_ = 0;
};

/// Which column holds what.
struct Columns {
  std::array<std::optional<std::size_t>, kInstants> time;  ///< seconds or frames
  std::array<std::optional<std::size_t>, kInstants> uncertainty;
  bool frames = false;
  std::size_t count = 0;
};

[[noreturn]] void refuse_column(std::string_view cell, const Lines& lines) {
  const bool separated_otherwise = cell.find_first_of(";\t") != std::string_view::npos;
  fail(lines.name(), lines.number(),
       separated_otherwise
           ? "columns must be separated by commas, and numbers written with a point"
           : "unknown column " + quote(cell) +
                 "; a table begins with press_s,light_s[,lamp_s] or press_frame,light_frame, and "
                 "may have press_u_s, light_u_s, lamp_u_s; remarks go on lines that begin with #");
}

/// Enters a column by its heading; true if it holds frames, false if seconds, empty if neither.
std::optional<bool> enter_column(std::string_view heading, std::size_t at, Columns& columns,
                                 const Lines& lines) {
  for (std::size_t k = 0; k < kInstants; ++k) {
    const std::string name = kNames[k];
    const bool is_uncertainty = heading == name + "_u_s";
    const bool is_frame = heading == name + "_frame";
    if (!is_uncertainty && !is_frame && heading != name + "_s") {
      continue;
    }
    auto& slot = is_uncertainty ? columns.uncertainty[k] : columns.time[k];
    if (slot) {
      fail(lines.name(), lines.number(), "the column " + quote(heading) + " is there twice");
    }
    slot = at;
    return is_uncertainty ? std::nullopt : std::optional<bool>(is_frame);
  }
  refuse_column(heading, lines);
}

void check_columns(const Columns& columns, const Lines& lines) {
  for (std::size_t k = 0; k < kInstants; ++k) {
    if (!columns.time[k] && (k < 2 || columns.uncertainty[k])) {
      fail(lines.name(), lines.number(),
           "the column " + std::string(kNames[k]) + "_s or " + kNames[k] + "_frame is missing");
    }
  }
}

Columns read_header(Lines& lines) {
  const std::optional<std::string_view> line = lines.next();
  if (!line) {
    throw Error(lines.name() + ": there is no header; a table begins with press_s,light_s");
  }
  Columns columns;
  std::optional<bool> frames;
  const std::vector<std::string_view> cells = split_cells(*line);
  columns.count = cells.size();
  for (std::size_t k = 0; k < cells.size(); ++k) {
    const std::optional<bool> unit = enter_column(cells[k], k, columns, lines);
    if (unit && frames && *unit != *frames) {
      fail(lines.name(), lines.number(), "seconds and frames cannot be mixed in one table");
    }
    frames = unit ? unit : frames;
  }
  check_columns(columns, lines);
  columns.frames = frames.value_or(false);
  return columns;
}

/// The whole cell as a number in the form of the C locale; anything else is a fault.
template <typename Number>
Number read_number(std::string_view cell, const Lines& lines, const char* expected) {
  Number value{};
  const bool has_plus = cell.size() > 1 && cell[0] == '+' && cell[1] != '-';
  const std::string_view digits = has_plus ? cell.substr(1) : cell;
  const auto [end, fault] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (fault != std::errc() || end != digits.data() + digits.size()) {
    fail(lines.name(), lines.number(), quote(cell) + " is not " + expected);
  }
  return value;
}

double read_time(std::string_view cell, const Lines& lines) {
  const auto t_s = read_number<double>(cell, lines, "a number of seconds, such as 2.41");
  if (!(std::abs(t_s) <= kFarthestTimeSeconds)) {
    fail(lines.name(), lines.number(), quote(cell) + " is not a time of at most 9e9 seconds");
  }
  return t_s;
}

double read_uncertainty(std::string_view cell, const Lines& lines) {
  const double u_s = read_time(cell, lines);
  if (u_s < 0) {
    fail(lines.name(), lines.number(), "the uncertainty " + quote(cell) + " is negative");
  }
  return u_s;
}

Instant instant_of_frame(std::string_view cell, const Lines& lines, double rate_hz) {
  const auto frame = read_number<std::int64_t>(cell, lines, "a whole number of frames");
  Instant instant;
  instant.t_s = static_cast<double>(frame) / rate_hz;
  if (frame < 0 || instant.t_s > kFarthestTimeSeconds) {
    fail(lines.name(), lines.number(),
         "the frame " + quote(cell) + " cannot be; frames count from 0");
  }
  instant.frame = frame;
  instant.u_s = 1 / rate_hz / std::sqrt(12.0);
  return instant;
}

std::optional<Instant> read_instant(const std::vector<std::string_view>& cells, std::size_t which,
                                    const Columns& columns, const Lines& lines, double rate_hz) {
  if (!columns.time[which]) {
    return std::nullopt;
  }
  const std::string_view u_cell =
      columns.uncertainty[which] ? cells[*columns.uncertainty[which]] : std::string_view{};
  const std::string_view cell = cells[*columns.time[which]];
  if (cell.empty()) {
    if (!u_cell.empty()) {
      fail(lines.name(), lines.number(),
           std::string("there is an uncertainty, but no instant of the ") + kNames[which]);
    }
    return std::nullopt;
  }
  Instant instant;
  if (columns.frames) {
    instant = instant_of_frame(cell, lines, rate_hz);
  } else {
    instant.t_s = read_time(cell, lines);
  }
  if (!u_cell.empty()) {
    instant.u_s = read_uncertainty(u_cell, lines);
  }
  instant.how = "mark";
  return instant;
}

PressTiming read_row(std::string_view line, const Columns& columns, const Lines& lines,
                     double rate_hz) {
  const std::vector<std::string_view> cells = split_cells(line);
  if (cells.size() != columns.count) {
    fail(lines.name(), lines.number(),
         std::to_string(cells.size()) + " columns where the header has " +
             std::to_string(columns.count) + "; numbers are written with a point");
  }
  PressTiming press;
  press.press = read_instant(cells, 0, columns, lines, rate_hz);
  press.light = read_instant(cells, 1, columns, lines, rate_hz);
  press.lamp = read_instant(cells, 2, columns, lines, rate_hz);
  return press;
}

double needed_rate(std::optional<double> rate_hz, const Lines& lines) {
  if (!rate_hz) {
    fail(lines.name(), lines.number(),
         "frames need the rate at which they were captured; state it with --capture-rate");
  }
  return *rate_hz;
}

}  // namespace

Timings read_timings_table(std::string_view text, const std::string& name,
                           std::optional<double> capture_rate_hz) {
  if (capture_rate_hz && !(*capture_rate_hz > 0 && std::isfinite(*capture_rate_hz))) {
    throw Error(name + ": the capture rate must be a number of hertz above 0");
  }
  Lines lines(text, name);
  const Columns columns = read_header(lines);
  const double rate_hz = columns.frames ? needed_rate(capture_rate_hz, lines) : 1;
  Timings timings;
  timings.recording.kind = "table";
  timings.recording.clock.source = columns.frames ? "capture-rate" : "stated";
  timings.recording.clock.nominal_hz = capture_rate_hz;
  std::vector<std::size_t> numbers;
  while (const std::optional<std::string_view> line = lines.next()) {
    timings.presses.push_back(read_row(*line, columns, lines, rate_hz));
    timings.presses.back().index = static_cast<std::int64_t>(timings.presses.size()) - 1;
    numbers.push_back(lines.number());
  }
  if (const std::optional<Disorder> disorder = find_disorder(timings.presses)) {
    fail(name, numbers[disorder->at],
         std::string("the ") + disorder->what +
             " is earlier than one in a row above; rows must be in order of time");
  }
  if (text.back() != '\n' && !timings.presses.empty()) {
    timings.warnings.push_back(make_warning(WarningCode::kTableEndOpen, name));
  }
  return timings;
}

}  // namespace thumblight::onset
