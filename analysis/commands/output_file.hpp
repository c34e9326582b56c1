#pragma once

#include <filesystem>
#include <ostream>
#include <string>

namespace thumblight::commands {

/// Writes a text to standard output; throws `Error` if it does not take all of it.
void write_standard(std::ostream& standard, const std::string& text);

/// What the temporary name of a file that is being written begins with; the file lies beside the
/// one that it will replace, and is left there only by a program that was killed.
std::string temporary_name(const std::string& name);

/// Where a command writes one text: a file, or standard output where the path is "-".
class OutputFile {
 public:
  /// Finds out at once whether the file can be written, so that no work is lost on it; throws
  /// `Error` if not. `standard` takes what is written to "-".
  OutputFile(std::filesystem::path file, std::ostream& standard);

  /// Writes the whole text under a temporary name beside the file and renames it, so that the file
  /// is old or new and never half of either. A device or a pipe is written as it stands. Throws
  /// `Error`; nothing is left then.
  void write(const std::string& text) const;

  bool is_standard() const { return file_ == "-"; }
  const std::filesystem::path& path() const { return file_; }

 private:
  std::filesystem::path file_;
  std::ostream& standard_;
};

}  // namespace thumblight::commands
