#include <cstdio>

#include "harness/session/append_file.hpp"
#include "harness/session/error.hpp"

/// For systems without POSIX files: standard C streams, flushed to the system record by record.
namespace thumblight::session {
namespace {

class StandardAppendFile : public AppendFile {
 public:
  StandardAppendFile(const std::filesystem::path& file, const char* mode, const char* refusal)
      : name_(file.string()), stream_(std::fopen(name_.c_str(), mode)) {
    if (stream_ == nullptr) {
      throw Error(name_ + refusal);
    }
  }
  ~StandardAppendFile() override { std::fclose(stream_); }
  StandardAppendFile(const StandardAppendFile&) = delete;
  StandardAppendFile& operator=(const StandardAppendFile&) = delete;

  void append(std::string_view bytes) override {
    if (std::fwrite(bytes.data(), 1, bytes.size(), stream_) != bytes.size() ||
        std::fflush(stream_) != 0) {
      throw Error(name_ + ": cannot be written further; is the disk full?");
    }
  }

 private:
  std::string name_;
  std::FILE* stream_;
};

}  // namespace

std::unique_ptr<AppendFile> create_append_file(const std::filesystem::path& file) {
  return std::make_unique<StandardAppendFile>(
      file, "wbx", ": cannot be made; name a folder that can be written and holds no session yet");
}

std::unique_ptr<AppendFile> continue_append_file(const std::filesystem::path& file,
                                                 std::uintmax_t keep_bytes) {
  std::error_code fault;
  std::filesystem::resize_file(file, keep_bytes, fault);
  if (fault) {
    throw Error(file.string() + ": cannot be cut behind its last whole line");
  }
  return std::make_unique<StandardAppendFile>(file, "ab",
                                              ": cannot be written further; check its rights");
}

}  // namespace thumblight::session
