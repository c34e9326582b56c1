#include "tests/bench/child_process.hpp"

#include <fcntl.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"

namespace thumblight::bench {
namespace {

/// Pointers into `texts` with the null at the end that exec wants.
std::vector<char*> pointers(std::vector<std::string>& texts) {
  std::vector<char*> result;
  result.reserve(texts.size() + 1);
  for (std::string& text : texts) {
    result.push_back(text.data());
  }
  result.push_back(nullptr);
  return result;
}

std::vector<std::string> merged_environment(const std::map<std::string, std::string>& added) {
  std::vector<std::string> result;
  for (char** entry = environ; *entry != nullptr; ++entry) {
    const std::string text = *entry;
    if (added.count(text.substr(0, text.find('='))) == 0) {
      result.push_back(text);
    }
  }
  for (const auto& [name, value] : added) {
    result.push_back(name + "=" + value);
  }
  return result;
}

/// A file descriptor that is closed at the end of its scope.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() { reset(); }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int number() const { return number_; }
  void reset() {
    if (number_ >= 0) {
      close(number_);
      number_ = -1;
    }
  }

 private:
  int number_;
};

int open_output(const std::filesystem::path& file) {
  const int number = open(file.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  if (number < 0) {
    throw Error("the output file '" + file.string() +
                "' cannot be written: " + std::strerror(errno));
  }
  return number;
}

/// What a forked child needs, made before the fork: after it only system calls are safe.
struct Launch {
  const char* program;
  char** arguments;
  char** environment;
  int output;
  int errors;
  int fault_pipe;
  pid_t parent;
};

[[noreturn]] void become(const Launch& launch) {
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (getppid() != launch.parent) {
    _exit(127);
  }
  dup2(launch.output, STDOUT_FILENO);
  dup2(launch.errors, STDERR_FILENO);
  execvpe(launch.program, launch.arguments, launch.environment);
  const int fault = errno;
  if (write(launch.fault_pipe, &fault, sizeof fault) < 0) {
    _exit(126);
  }
  _exit(127);
}

}  // namespace

ChildProcess::ChildProcess(const ChildPlan& plan) {
  std::vector<std::string> arguments = {plan.program.string()};
  arguments.insert(arguments.end(), plan.arguments.begin(), plan.arguments.end());
  std::vector<std::string> environment = merged_environment(plan.environment);
  std::vector<char*> argument_pointers = pointers(arguments);
  std::vector<char*> environment_pointers = pointers(environment);
  const Descriptor output(open_output(plan.stdout_file));
  const Descriptor errors(open_output(plan.stderr_file));
  int ends[2];
  if (pipe2(ends, O_CLOEXEC) != 0) {
    throw Error(std::string("no pipe can be made: ") + std::strerror(errno));
  }
  const Descriptor fault_out(ends[0]);
  Descriptor fault_in(ends[1]);
  const Launch launch = {arguments.front().c_str(),
                         argument_pointers.data(),
                         environment_pointers.data(),
                         output.number(),
                         errors.number(),
                         fault_in.number(),
                         getpid()};
  pid_ = fork();
  if (pid_ < 0) {
    throw Error(std::string("no process can be started: ") + std::strerror(errno));
  }
  if (pid_ == 0) {
    become(launch);
  }
  fault_in.reset();
  int fault = 0;
  if (read(fault_out.number(), &fault, sizeof fault) == sizeof fault) {
    waitpid(pid_, nullptr, 0);
    throw Error("'" + plan.program.string() + "' cannot be started: " + std::strerror(fault));
  }
}

ChildProcess::~ChildProcess() {
  kill();
}

void ChildProcess::take(int status) {
  exit_code_ = WIFSIGNALED(status) ? 128 + WTERMSIG(status) : WEXITSTATUS(status);
}

std::optional<int> ChildProcess::exit_code() {
  int status = 0;
  if (!exit_code_ && waitpid(pid_, &status, WNOHANG) == pid_) {
    take(status);
  }
  return exit_code_;
}

std::optional<int> ChildProcess::wait(double timeout_s) {
  const std::int64_t deadline_ns = monotonic_raw_ns() + ns_of_s(timeout_s);
  while (!exit_code() && monotonic_raw_ns() < deadline_ns) {
    sleep_ns(5 * kNsPerMs);
  }
  return exit_code_;
}

void ChildProcess::send(int signal) {
  if (!exit_code()) {
    ::kill(pid_, signal);
  }
}

void ChildProcess::kill() {
  send(SIGKILL);
  int status = 0;
  if (!exit_code_ && waitpid(pid_, &status, 0) == pid_) {
    take(status);
  }
}

int run_program(const ChildPlan& plan, double timeout_s) {
  ChildProcess child(plan);
  const std::optional<int> code = child.wait(timeout_s);
  if (!code) {
    throw Error("'" + plan.program.string() + "' had not ended after " + std::to_string(timeout_s) +
                " s");
  }
  return *code;
}

}  // namespace thumblight::bench
