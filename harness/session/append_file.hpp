#pragma once

#include <filesystem>
#include <memory>
#include <string_view>

namespace thumblight::session {

/// A file that only grows. Made anew: an existing file is never opened or overwritten.
class AppendFile {
 public:
  virtual ~AppendFile() = default;
  /// Writes all of `bytes` and hands them to the disk before it returns. Throws `Error`.
  virtual void append(std::string_view bytes) = 0;
};

std::unique_ptr<AppendFile> create_append_file(const std::filesystem::path& file);

}  // namespace thumblight::session
