#include "tests/bench/timings_csv.hpp"

#include <cmath>
#include <fstream>
#include <iomanip>

#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"

namespace thumblight::bench {
namespace {

/// Seconds with nine decimals, by whole numbers: a double would lose the nanoseconds.
void write_s(std::ostream& out, std::int64_t time_ns) {
  out << time_ns / kNsPerS << '.' << std::setfill('0') << std::setw(9) << time_ns % kNsPerS;
}

std::int64_t press_u_ns(const Injection& press) {
  return std::llround(static_cast<double>(press.after_ns - press.before_ns) / std::sqrt(3.0));
}

void write_row(std::ostream& out, const TimedPress& row) {
  write_s(out, row.press.before_ns);
  out << ',';
  if (row.light) {
    write_s(out, row.light->instant_ns());
  }
  out << ',';
  write_s(out, press_u_ns(row.press));
  out << ',';
  if (row.light) {
    write_s(out, std::llround(row.light->u_ns()));
  }
  out << '\n';
}

}  // namespace

void write_timings(const std::filesystem::path& file, const std::vector<TimedPress>& presses) {
  std::ofstream out(file);
  out << "press_s,light_s,press_u_s,light_u_s\n";
  for (const TimedPress& row : presses) {
    write_row(out, row);
  }
  out.flush();
  if (!out) {
    throw Error("the timings '" + file.string() + "' cannot be written");
  }
}

}  // namespace thumblight::bench
