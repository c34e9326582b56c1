#pragma once

#include <cstdint>
#include <cstdio>
#include <memory>
#include <vector>

namespace thumblight::recording {

/// The cell means of every frame, kept in a nameless temporary file, so that memory stays flat
/// however long the recording is. Levels are held as the square root in 16 bits: at worst 1/20,000
/// of the level itself where it is bright, finer in the dark.
class CellStore {
 public:
  /// Levels above `full_scale` are clipped.
  CellStore(int cells, double full_scale);

  void append(const std::vector<float>& means);
  std::int64_t frames() const { return frames_; }
  int cells() const { return cells_; }

  /// Frames `first` to `first + count`, all cells of a frame after another. Throws `Error` where
  /// the temporary file fails.
  std::vector<float> read(std::int64_t first, std::int64_t count);

 private:
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };
  std::unique_ptr<std::FILE, Close> file_;
  int cells_;
  double scale_;
  std::int64_t frames_ = 0;
  std::vector<std::uint16_t> packed_;
  std::vector<float> unpacked_;  ///< level of each packed value
};

}  // namespace thumblight::recording
