#include "tests/support/run_program.hpp"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <stdexcept>

namespace thumblight::test {
namespace {

constexpr int kCannotStart = 127;

struct Pipe {
  int read_end = -1;
  int write_end = -1;
  Pipe() {
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) < 0) {
      throw std::runtime_error("no pipe can be made");
    }
    read_end = ends[0];
    write_end = ends[1];
  }
};

/// In the child: never returns.
[[noreturn]] void become(const std::vector<char*>& words, const std::string& folder, int out,
                         int err) {
  const int nothing = ::open("/dev/null", O_RDONLY | O_CLOEXEC);
  ::dup2(nothing, STDIN_FILENO);
  ::dup2(out, STDOUT_FILENO);
  ::dup2(err, STDERR_FILENO);
  if (folder.empty() || ::chdir(folder.c_str()) == 0) {
    ::execv(words.front(), words.data());
  }
  ::_exit(kCannotStart);
}

/// Takes what is there; false at the end of the stream.
bool drain(int descriptor, std::string& into) {
  std::array<char, 65536> piece{};
  const ssize_t count = ::read(descriptor, piece.data(), piece.size());
  if (count < 0 && errno == EINTR) {
    return true;
  }
  if (count <= 0) {
    return false;
  }
  into.append(piece.data(), static_cast<std::size_t>(count));
  return true;
}

void drain_both(int out, int err, Outcome& outcome) {
  std::array<pollfd, 2> streams = {{{out, POLLIN, 0}, {err, POLLIN, 0}}};
  std::array<std::string*, 2> texts = {&outcome.out, &outcome.err};
  while (streams[0].fd >= 0 || streams[1].fd >= 0) {
    if (::poll(streams.data(), streams.size(), -1) < 0 && errno != EINTR) {
      throw std::runtime_error("the program's streams cannot be waited for");
    }
    for (std::size_t k = 0; k < streams.size(); ++k) {
      if (streams[k].fd >= 0 && streams[k].revents != 0 && !drain(streams[k].fd, *texts[k])) {
        streams[k].fd = -1;
      }
      streams[k].revents = 0;
    }
  }
}

}  // namespace

RunningProgram::RunningProgram(const std::string& program,
                               const std::vector<std::string>& arguments,
                               const std::string& folder) {
  std::vector<std::string> texts = {program};
  texts.insert(texts.end(), arguments.begin(), arguments.end());
  std::vector<char*> words;
  for (std::string& text : texts) {
    words.push_back(text.data());
  }
  words.push_back(nullptr);
  const Pipe out;
  const Pipe err;
  pid_ = ::fork();
  if (pid_ < 0) {
    throw std::runtime_error("no process can be started");
  }
  if (pid_ == 0) {
    become(words, folder, out.write_end, err.write_end);
  }
  ::close(out.write_end);
  ::close(err.write_end);
  out_ = out.read_end;
  err_ = err.read_end;
}

RunningProgram::~RunningProgram() {
  if (pid_ > 0) {
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, nullptr, 0);
  }
  ::close(out_);
  ::close(err_);
}

void RunningProgram::signal(int number) const {
  ::kill(pid_, number);
}

Outcome RunningProgram::finish() {
  Outcome outcome;
  drain_both(out_, err_, outcome);
  int status = 0;
  while (::waitpid(pid_, &status, 0) < 0 && errno == EINTR) {
  }
  pid_ = -1;
  outcome.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  return outcome;
}

Outcome run_program(const std::string& program, const std::vector<std::string>& arguments,
                    const std::string& folder) {
  return RunningProgram(program, arguments, folder).finish();
}

}  // namespace thumblight::test
