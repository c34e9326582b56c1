#include "analysis/recording/edit_list.hpp"

#include <array>
#include <cstdint>
#include <fstream>
#include <string>

namespace thumblight::recording {
namespace {

constexpr int kDeepest = 8;  ///< boxes within boxes; a real file has five
constexpr std::uint32_t kMostEdits = 1000;

std::uint64_t big_endian(std::istream& input, int bytes) {
  std::uint64_t value = 0;
  for (int i = 0; i < bytes; ++i) {
    value = value << 8 | static_cast<std::uint8_t>(input.get());
  }
  return value;
}

/// Walks the boxes of an MP4 file down to the edit lists, and keeps the one with most to say.
class BoxWalker {
 public:
  explicit BoxWalker(std::ifstream& input) : input_(input) {}

  void walk(std::uint64_t begin, std::uint64_t end, int depth) {
    while (begin + 8 <= end && depth < kDeepest) {
      input_.clear();
      input_.seekg(static_cast<std::streamoff>(begin));
      std::uint64_t size = big_endian(input_, 4);
      std::string type(4, ' ');
      input_.read(type.data(), 4);
      std::uint64_t header = 8;
      if (size == 1) {
        size = big_endian(input_, 8);
        header = 16;
      } else if (size == 0) {
        size = end - begin;
      }
      if (!input_ || size < header || size > end - begin) {
        return;
      }
      if (type == "elst") {
        read_list();
      } else if (type == "moov" || type == "trak" || type == "edts") {
        walk(begin + header, begin + size, depth + 1);
      }
      begin += size;
    }
  }

  const std::optional<EditList>& found() const { return found_; }

 private:
  void read_list() {
    const bool wide = big_endian(input_, 1) == 1;
    big_endian(input_, 3);
    const std::uint64_t count = big_endian(input_, 4);
    EditList list;
    for (std::uint64_t i = 0; i < count && i < kMostEdits && input_; ++i) {
      big_endian(input_, wide ? 8 : 4);
      const std::uint64_t media_time = big_endian(input_, wide ? 8 : 4);
      const std::uint64_t rate = big_endian(input_, 4);
      const bool pause = media_time == (wide ? ~std::uint64_t{0} : 0xffffffffU);
      (pause ? list.pauses : list.pieces) += 1;
      constexpr std::uint64_t kUnchanged = 0x00010000;
      list.speed = list.speed || (!pause && rate != kUnchanged);
    }
    if (input_ && (!found_ || list.pieces + list.pauses > found_->pieces + found_->pauses)) {
      found_ = list;
    }
  }

  std::ifstream& input_;
  std::optional<EditList> found_;
};

}  // namespace

std::optional<EditList> read_edit_list(const std::filesystem::path& file) {
  std::ifstream input(file, std::ios::binary);
  std::error_code fault;
  const std::uint64_t size = std::filesystem::file_size(file, fault);
  if (!input || fault) {
    return std::nullopt;
  }
  std::array<char, 8> start{};
  input.read(start.data(), 8);
  if (!input || std::string(start.data() + 4, 4) != "ftyp") {
    return std::nullopt;
  }
  BoxWalker walker(input);
  walker.walk(0, size, 0);
  return walker.found();
}

}  // namespace thumblight::recording
