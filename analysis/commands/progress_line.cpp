#include "analysis/commands/progress_line.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::commands {
namespace {

constexpr char kBackAndErase[] = "\r\x1b[K";

std::string whole(double value) {
  return std::to_string(std::llround(value));
}

}  // namespace

std::string progress_text(const std::string& what, double done, std::optional<double> all,
                          double passed_s) {
  if (!all || *all <= 0) {
    return what + ": " + whole(done);
  }
  const double share = std::clamp(done / *all, 0.0, 1.0);
  std::string text = what + ": " + whole(done) + " of " + whole(std::max(done, *all)) + ", " +
                     whole(std::floor(100 * share)) + " %";
  if (share > 0) {
    text += ", " + whole(std::ceil(passed_s * (1 - share) / share)) + " s left";
  }
  return text;
}

ProgressLine::ProgressLine(std::ostream& terminal, bool shown, std::string what)
    : terminal_(terminal), shown_(shown), what_(std::move(what)) {}

ProgressLine::~ProgressLine() {
  clear();
}

void ProgressLine::clear() {
  if (written_) {
    terminal_ << kBackAndErase << std::flush;
    written_ = false;
  }
}

void ProgressLine::tell(double done, std::optional<double> all) {
  constexpr std::chrono::milliseconds kApart(200);
  const Clock::time_point now = Clock::now();
  if (!shown_ || now - last_ < kApart) {
    return;
  }
  last_ = now;
  written_ = true;
  const double passed_s = std::chrono::duration<double>(now - begin_).count();
  terminal_ << kBackAndErase << progress_text(what_, done, all, passed_s) << std::flush;
}

}  // namespace thumblight::commands
