#include "analysis/commands/output_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <string_view>
#include <system_error>

#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const fs::path& file, int fault) {
  throw Error(file.string() + ": cannot be written: " + std::generic_category().message(fault) +
              "; name a file in a folder that can be written");
}

/// The rights that new files go without. It can only be read by setting it, which is done once, so
/// that threads do not read each other's.
mode_t usual_mask() {
  static const mode_t mask = [] {
    const mode_t found = ::umask(0);
    ::umask(found);
    return found;
  }();
  return mask;
}

/// A file under a temporary name, gone at the end unless it has been renamed.
class TemporaryFile {
 public:
  explicit TemporaryFile(const fs::path& target)
      : target_(target),
        name_((target.parent_path() / (temporary_name(target.filename().string()) + "XXXXXX"))
                  .string()) {
    descriptor_ = ::mkostemp(name_.data(), O_CLOEXEC);
    if (descriptor_ < 0) {
      fail(target_, errno);
    }
  }
  ~TemporaryFile() {
    ::close(descriptor_);
    if (!name_.empty()) {
      ::unlink(name_.c_str());
    }
  }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;

  int descriptor() const { return descriptor_; }

  void rename() {
    if (::fchmod(descriptor_, mode()) < 0 || ::fsync(descriptor_) < 0 ||
        ::rename(name_.c_str(), target_.c_str()) < 0) {
      fail(target_, errno);
    }
    name_.clear();
  }

 private:
  /// The rights of the file that is replaced, or those of any new file.
  mode_t mode() const {
    struct stat old {};
    if (::stat(target_.c_str(), &old) == 0) {
      return old.st_mode & 0777;
    }
    return 0666 & ~usual_mask();
  }

  fs::path target_;
  std::string name_;
  int descriptor_ = -1;
};

void write_all(int descriptor, std::string_view text, const fs::path& file) {
  while (!text.empty()) {
    const ssize_t written = ::write(descriptor, text.data(), text.size());
    if (written < 0 && errno == EINTR) {
      continue;
    }
    if (written <= 0) {
      fail(file, errno);
    }
    text.remove_prefix(static_cast<std::size_t>(written));
  }
}

/// A device or a pipe: something that must not be replaced by a file.
bool is_special(const fs::path& file) {
  std::error_code ignored;
  return fs::exists(file, ignored) && !fs::is_regular_file(file, ignored);
}

/// The file that a link leads to, so that the link is kept.
fs::path resolve(const fs::path& file) {
  std::error_code ignored;
  const fs::path target =
      fs::is_symlink(file, ignored) ? fs::weakly_canonical(file, ignored) : file;
  return target.empty() ? file : target;
}

void write_special(const fs::path& file, const std::string& text) {
  const int descriptor = ::open(file.c_str(), O_WRONLY | O_CLOEXEC);
  if (descriptor < 0) {
    fail(file, errno);
  }
  try {
    write_all(descriptor, text, file);
  } catch (...) {
    ::close(descriptor);
    throw;
  }
  ::close(descriptor);
}

}  // namespace

std::string temporary_name(const std::string& name) {
  return '.' + name + ".part-";
}

void write_standard(std::ostream& standard, const std::string& text) {
  standard << text << std::flush;
  if (!standard) {
    throw Error("standard output cannot be written; is the disk full or the pipe closed?");
  }
}

OutputFile::OutputFile(fs::path file, std::ostream& standard)
    : file_(std::move(file)), standard_(standard) {
  if (is_standard()) {
    return;
  }
  file_ = resolve(file_);
  std::error_code ignored;
  if (fs::is_directory(file_, ignored)) {
    fail(file_, EISDIR);
  }
  if (fs::exists(file_, ignored) && ::access(file_.c_str(), W_OK) < 0) {
    fail(file_, errno);
  }
  if (!is_special(file_)) {
    const TemporaryFile probe(file_);
  }
}

void OutputFile::write(const std::string& text) const {
  if (is_standard()) {
    write_standard(standard_, text);
    return;
  }
  if (is_special(file_)) {
    write_special(file_, text);
    return;
  }
  TemporaryFile temporary(file_);
  write_all(temporary.descriptor(), text, file_);
  temporary.rename();
}

}  // namespace thumblight::commands
