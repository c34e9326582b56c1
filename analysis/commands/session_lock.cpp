#include "analysis/commands/session_lock.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <utility>

#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

int open_folder(const std::filesystem::path& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) {
    throw Error(folder.string() + ": cannot be opened: " + std::generic_category().message(errno) +
                "; check its rights");
  }
  return descriptor;
}

/// Whether somebody else holds it; faults of the file system count as no.
bool is_held_elsewhere(int descriptor, int operation) {
  int outcome = 0;
  do {
    outcome = ::flock(descriptor, operation);
  } while (outcome < 0 && errno == EINTR);
  return outcome < 0 && errno == EWOULDBLOCK;
}

}  // namespace

SessionLock SessionLock::wait(const std::filesystem::path& folder) {
  SessionLock lock(open_folder(folder));
  is_held_elsewhere(lock.descriptor_, LOCK_EX);
  return lock;
}

std::optional<SessionLock> SessionLock::attempt(const std::filesystem::path& folder) {
  SessionLock lock(open_folder(folder));
  if (is_held_elsewhere(lock.descriptor_, LOCK_EX | LOCK_NB)) {
    return std::nullopt;
  }
  return lock;
}

SessionLock::SessionLock(SessionLock&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)) {}

SessionLock::~SessionLock() {
  if (descriptor_ >= 0) {
    ::close(descriptor_);
  }
}

}  // namespace thumblight::commands
