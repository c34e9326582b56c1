#pragma once

#include <string>
#include <vector>

namespace thumblight::test {

/// What a program left behind.
struct Outcome {
  int exit_code = -1;  ///< 128 + the signal's number if a signal ended it, as shells count
  std::string out;
  std::string err;
};

/// Starts the program (a path) with its arguments, its input empty, in `folder` (the current one
/// if empty), and waits for its end.
Outcome run_program(const std::string& program, const std::vector<std::string>& arguments,
                    const std::string& folder = "");

/// The same in the background: to be sent signals.
class RunningProgram {
 public:
  RunningProgram(const std::string& program, const std::vector<std::string>& arguments,
                 const std::string& folder = "");
  ~RunningProgram();
  RunningProgram(const RunningProgram&) = delete;
  RunningProgram& operator=(const RunningProgram&) = delete;

  void signal(int number) const;
  int pid() const { return pid_; }

  /// Reads both streams to their ends and waits.
  Outcome finish();

 private:
  int pid_ = -1;
  int out_ = -1;
  int err_ = -1;
};

}  // namespace thumblight::test
