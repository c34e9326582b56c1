#pragma once

#include <sys/types.h>

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace thumblight::bench {

/// What to start. The environment given is added to this program's own.
struct ChildPlan {
  std::filesystem::path program;  ///< looked up in PATH where it names no folder
  std::vector<std::string> arguments;
  std::map<std::string, std::string> environment;
  std::filesystem::path stdout_file = "/dev/null";
  std::filesystem::path stderr_file = "/dev/null";
};

/// A running program. It dies with the thread that started it, and is killed and reaped by the
/// destructor, so that neither orphan nor zombie is left.
class ChildProcess {
 public:
  /// Throws `Error` if the program cannot be started.
  explicit ChildProcess(const ChildPlan& plan);
  ~ChildProcess();
  ChildProcess(const ChildProcess&) = delete;
  ChildProcess& operator=(const ChildProcess&) = delete;

  pid_t pid() const { return pid_; }

  /// The exit code, or 128 + the signal that ended it; empty while it runs.
  std::optional<int> exit_code();

  /// The same, after waiting for the end; empty if it still runs after `timeout_s`.
  std::optional<int> wait(double timeout_s);

  /// Sends a signal, unless the program has ended.
  void send(int signal);

  /// SIGKILL, then waits for the end.
  void kill();

 private:
  void take(int status);

  pid_t pid_ = -1;
  std::optional<int> exit_code_;
};

/// Runs a program to its end and gives its exit code. Throws `Error` if it takes longer.
int run_program(const ChildPlan& plan, double timeout_s);

}  // namespace thumblight::bench
