#pragma once

#include <filesystem>
#include <optional>

namespace thumblight::commands {

/// Holds a session while it is measured, so that two programs do not measure it at once. It is an
/// advisory lock on the folder itself (flock), so that nothing is left behind: it ends with the
/// object, or with the program, however that ends. Where the file system has no locks nothing is
/// held, and two programs may do the same work twice; no file is spoilt by that, since each is
/// renamed into its place whole.
class SessionLock {
 public:
  /// Waits until nobody else holds the session. Throws `Error` if the folder cannot be opened.
  static SessionLock wait(const std::filesystem::path& folder);

  /// Empty where somebody else holds it. Throws likewise.
  static std::optional<SessionLock> attempt(const std::filesystem::path& folder);

  SessionLock(SessionLock&& other) noexcept;
  SessionLock& operator=(SessionLock&&) = delete;
  ~SessionLock();

 private:
  explicit SessionLock(int descriptor) : descriptor_(descriptor) {}

  int descriptor_;
};

}  // namespace thumblight::commands
