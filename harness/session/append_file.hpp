#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string_view>

namespace thumblight::session {

/// A file that only grows.
class AppendFile {
 public:
  virtual ~AppendFile() = default;
  /// Writes all of `bytes` and hands them to the disk before it returns. Throws `Error`.
  virtual void append(std::string_view bytes) = 0;
};

/// Makes a file anew: one that exists is never opened or overwritten. Throws `Error`.
std::unique_ptr<AppendFile> create_append_file(const std::filesystem::path& file);

/// Goes on with a file that exists, behind its first `keep_bytes`; what follows them is cut off.
/// Throws `Error`.
std::unique_ptr<AppendFile> continue_append_file(const std::filesystem::path& file,
                                                 std::uintmax_t keep_bytes);

}  // namespace thumblight::session
