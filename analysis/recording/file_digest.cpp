#include "analysis/recording/file_digest.hpp"

#include <algorithm>
#include <array>
#include <fstream>
#include <memory>
#include <vector>

extern "C" {
#include <libavutil/hash.h>
}

#include "harness/session/error.hpp"

namespace thumblight::recording {
namespace {

namespace fs = std::filesystem;

class Digest {
 public:
  Digest() {
    AVHashContext* context = nullptr;
    if (av_hash_alloc(&context, "MURMUR3") < 0) {
      throw Error("this FFmpeg has no MurmurHash3; install FFmpeg's libavutil as packaged");
    }
    context_.reset(context);
    av_hash_init(context);
  }

  void add(std::string_view bytes) {
    av_hash_update(context_.get(), reinterpret_cast<const uint8_t*>(bytes.data()), bytes.size());
  }

  void add_file(const fs::path& file) {
    std::ifstream input(file, std::ios::binary);
    std::vector<char> buffer(std::size_t{1} << 20U);
    while (input) {
      input.read(buffer.data(), static_cast<std::streamsize>(buffer.size()));
      add({buffer.data(), static_cast<std::size_t>(input.gcount())});
    }
    if (!input.eof()) {
      throw Error(file.string() + ": cannot be read; check its rights");
    }
  }

  std::string text() {
    std::array<char, 2 * AV_HASH_MAX_SIZE + 1> hexadecimal{};
    av_hash_final_hex(context_.get(), reinterpret_cast<uint8_t*>(hexadecimal.data()),
                      static_cast<int>(hexadecimal.size()));
    return hexadecimal.data();
  }

 private:
  struct Free {
    void operator()(AVHashContext* context) const { av_hash_freep(&context); }
  };
  std::unique_ptr<AVHashContext, Free> context_;
};

}  // namespace

std::string digest_of(std::string_view text) {
  Digest digest;
  digest.add(text);
  return digest.text();
}

std::string digest_of_file(const fs::path& path) {
  Digest digest;
  if (!fs::is_directory(path)) {
    digest.add_file(path);
    return digest.text();
  }
  std::vector<fs::path> files;
  for (const fs::directory_entry& entry : fs::directory_iterator(path)) {
    if (entry.is_regular_file()) {
      files.push_back(entry.path());
    }
  }
  std::sort(files.begin(), files.end());
  for (const fs::path& file : files) {
    digest.add(file.filename().string() + '\n');
    digest.add_file(file);
  }
  return digest.text();
}

}  // namespace thumblight::recording
