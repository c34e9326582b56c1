#include "analysis/onset/copy_store.hpp"

#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

[[noreturn]] void throw_disk_fault() {
  throw Error(
      "the temporary folder cannot hold the pictures for the evidence (is its disk full?); free "
      "some space, point TMPDIR at another disk, or go without them (--no-pictures)");
}

}  // namespace

CopyStore::CopyStore(const CopyForm& form) : form_(form), file_(std::tmpfile()) {
  if (!file_) {
    throw_disk_fault();
  }
}

std::size_t CopyStore::copy_bytes() const {
  return static_cast<std::size_t>(form_.width) * static_cast<std::size_t>(form_.height);
}

bool CopyStore::full() const {
  constexpr double kMost_bytes = 2e9;
  return static_cast<double>(place_of_.size() + 1) * static_cast<double>(copy_bytes()) >
         kMost_bytes;
}

void CopyStore::keep(std::int64_t frame, const std::vector<std::uint8_t>& pixels) {
  // Flushed at once, so that a full disk is met here and not when the copies are wanted.
  if (std::fwrite(pixels.data(), 1, pixels.size(), file_.get()) != pixels.size() ||
      std::fflush(file_.get()) != 0) {
    throw_disk_fault();
  }
  place_of_.emplace(frame, static_cast<std::int64_t>(place_of_.size()));
}

GreyCopy CopyStore::copy_of(std::int64_t frame) {
  const auto place = place_of_.find(frame);
  if (place == place_of_.end()) {
    return {};
  }
  std::vector<std::uint8_t> pixels(copy_bytes());
  const auto offset = static_cast<off_t>(place->second) * static_cast<off_t>(pixels.size());
  const bool found = fseeko(file_.get(), offset, SEEK_SET) == 0;
  if (!found || std::fread(pixels.data(), 1, pixels.size(), file_.get()) != pixels.size()) {
    throw_disk_fault();
  }
  return {form_, std::move(pixels)};
}

}  // namespace thumblight::onset
