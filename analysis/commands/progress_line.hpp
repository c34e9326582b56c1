#pragma once

#include <chrono>
#include <optional>
#include <ostream>
#include <string>

namespace thumblight::commands {

/// One line on a terminal that tells how far the work has come and how long it will take; gone at
/// the end.
class ProgressLine {
 public:
  /// Says nothing at all unless `shown`.
  ProgressLine(std::ostream& terminal, bool shown, std::string what);
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  /// `done` of `all` units; `all` is empty where it is not known.
  void tell(double done, std::optional<double> all);

  /// Takes the line away until it is told of anew, so that other lines can be written.
  void clear();

 private:
  using Clock = std::chrono::steady_clock;

  std::ostream& terminal_;
  bool shown_;
  bool written_ = false;
  std::string what_;
  Clock::time_point begin_ = Clock::now();
  Clock::time_point last_ = begin_;
};

/// "reading camera.mp4: 1200 of 4800, 25 %, 9 s left"; without `all` the count alone.
std::string progress_text(const std::string& what, double done, std::optional<double> all,
                          double passed_s);

}  // namespace thumblight::commands
