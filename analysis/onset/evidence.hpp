#pragma once

#include <cstdint>
#include <deque>
#include <filesystem>
#include <vector>

#include "analysis/onset/copy_store.hpp"
#include "analysis/onset/film.hpp"
#include "analysis/onset/timings.hpp"

namespace thumblight::onset {

/// Keeps small copies of the frames around sudden changes while the film is read, so that each
/// press can be shown without reading the film again. Memory holds the last few frames, and thinned
/// copies of a quarter of a second; whatever may be wanted later lies in a temporary file.
class EvidenceKeeper : public FrameWitness {
 public:
  explicit EvidenceKeeper(const recording::FrameSource& source);

  void see(std::int64_t frame, const recording::Frame& picture,
           const std::vector<float>& cells) override;

  /// Writes `regions.png` and `evidence/press-NNN.jpg` into `folder`, all of them or none.
  void write(const Film& film, const Timings& timings, const std::filesystem::path& folder);

 private:
  /// A frame's small copy; `pixels` is empty where none was made yet.
  struct Copy {
    std::int64_t frame = 0;
    std::vector<std::uint8_t> pixels;
  };
  struct Fresh {
    recording::Frame picture;  ///< whole
    Copy copy;
  };

  bool wants(std::int64_t frame) const { return !store_.holds(frame) && !store_.full(); }
  void keep(const Copy& copy);
  void keep(const Fresh& fresh);
  void keep_thinned();
  void retire();
  bool is_jump(const std::vector<float>& cells);

  CopyStore store_;
  std::size_t most_held_;
  std::int64_t keep_until_ = -1;
  std::deque<Fresh> fresh_;
  std::deque<Copy> thinned_;
  std::deque<std::vector<float>> recent_;
};

}  // namespace thumblight::onset
