#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "harness/session/append_file.hpp"
#include "harness/session/error.hpp"

namespace thumblight::session {
namespace {

[[noreturn]] void fail(const std::filesystem::path& file, const std::string& what) {
  throw Error(file.string() + ": " + what + ": " + std::generic_category().message(errno));
}

class PosixAppendFile : public AppendFile {
 public:
  PosixAppendFile(const std::filesystem::path& file, int descriptor)
      : file_(file), descriptor_(descriptor) {}
  ~PosixAppendFile() override { ::close(descriptor_); }
  PosixAppendFile(const PosixAppendFile&) = delete;
  PosixAppendFile& operator=(const PosixAppendFile&) = delete;

  void append(std::string_view bytes) override {
    while (!bytes.empty()) {
      const ssize_t written = ::write(descriptor_, bytes.data(), bytes.size());
      if (written < 0 && errno == EINTR) {
        continue;
      }
      if (written <= 0) {
        fail(file_, "cannot be written further");
      }
      bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    // A pipe or a special file cannot be synchronised, and need not be.
    if (::fsync(descriptor_) < 0 && errno != EINVAL && errno != EROFS) {
      fail(file_, "cannot be handed to the disk");
    }
  }

 private:
  std::filesystem::path file_;
  int descriptor_;
};

}  // namespace

std::unique_ptr<AppendFile> create_append_file(const std::filesystem::path& file) {
  const int descriptor =
      ::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0666);
  if (descriptor < 0) {
    fail(file, "cannot be made; name a folder that can be written and holds no session yet");
  }
  return std::make_unique<PosixAppendFile>(file, descriptor);
}

std::unique_ptr<AppendFile> continue_append_file(const std::filesystem::path& file,
                                                 std::uintmax_t keep_bytes) {
  const int descriptor = ::open(file.c_str(), O_WRONLY | O_APPEND | O_CLOEXEC);
  if (descriptor < 0) {
    fail(file, "cannot be written further; check its rights");
  }
  auto opened = std::make_unique<PosixAppendFile>(file, descriptor);
  if (::ftruncate(descriptor, static_cast<off_t>(keep_bytes)) != 0) {
    fail(file, "cannot be cut behind its last whole line");
  }
  return opened;
}

}  // namespace thumblight::session
