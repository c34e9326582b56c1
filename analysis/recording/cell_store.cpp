#include "analysis/recording/cell_store.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "harness/session/error.hpp"

namespace thumblight::recording {
namespace {

[[noreturn]] void throw_disk_fault() {
  throw Error(
      "the temporary folder cannot hold the frames' levels (is its disk full?); free some space or "
      "point TMPDIR at another disk");
}

std::FILE* open_nameless_file() {
  std::FILE* file = std::tmpfile();
  if (file == nullptr) {
    throw_disk_fault();
  }
  return file;
}

}  // namespace

CellStore::CellStore(int cells, double full_scale)
    : file_(open_nameless_file()),
      cells_(cells),
      scale_(65535 / std::sqrt(full_scale)),
      packed_(static_cast<std::size_t>(cells)),
      unpacked_(65536) {
  for (std::size_t value = 0; value < unpacked_.size(); ++value) {
    const double root = static_cast<double>(value) / scale_;
    unpacked_[value] = static_cast<float>(root * root);
  }
}

void CellStore::append(const std::vector<float>& means) {
  const auto scale = static_cast<float>(scale_);
  for (std::size_t i = 0; i < packed_.size(); ++i) {
    const float root = std::sqrt(std::max(means[i], 0.0F)) * scale;
    packed_[i] = static_cast<std::uint16_t>(std::min(root + 0.5F, 65535.0F));
  }
  if (std::fwrite(packed_.data(), sizeof(packed_[0]), packed_.size(), file_.get()) !=
      packed_.size()) {
    throw_disk_fault();
  }
  ++frames_;
}

std::vector<float> CellStore::read(std::int64_t first, std::int64_t count) {
  std::vector<std::uint16_t> raw(static_cast<std::size_t>(count) * packed_.size());
  const std::int64_t offset = first * cells_ * static_cast<std::int64_t>(sizeof(raw[0]));
  if (std::fflush(file_.get()) != 0 || fseeko(file_.get(), offset, SEEK_SET) != 0 ||
      std::fread(raw.data(), sizeof(raw[0]), raw.size(), file_.get()) != raw.size() ||
      fseeko(file_.get(), 0, SEEK_END) != 0) {
    throw_disk_fault();
  }
  std::vector<float> levels(raw.size());
  std::transform(raw.begin(), raw.end(), levels.begin(),
                 [this](std::uint16_t value) { return unpacked_[value]; });
  return levels;
}

}  // namespace thumblight::recording
