#pragma once

#include <cstdint>
#include <cstdio>
#include <deque>
#include <filesystem>
#include <map>
#include <memory>
#include <vector>

#include "analysis/onset/film.hpp"
#include "analysis/onset/timings.hpp"
#include "analysis/recording/picture.hpp"

namespace thumblight::onset {

/// Keeps small copies of the frames around sudden changes while the film is read, so that each
/// press can be shown without reading the film again. Memory holds half a second of frames at
/// most; whatever may be wanted later lies in a nameless temporary file.
class EvidenceKeeper : public FrameWitness {
 public:
  explicit EvidenceKeeper(const recording::FrameSource& source);

  void see(std::int64_t frame, const recording::LumaPlane& luma,
           const std::vector<float>& cells) override;

  /// Writes `regions.png` and `evidence/press-NNN.jpg` into `folder`.
  void write(const Film& film, const Timings& timings, const std::filesystem::path& folder);

 private:
  struct Small {
    std::int64_t frame = 0;
    std::vector<std::uint8_t> pixels;
  };
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };

  Small reduce(std::int64_t frame, const recording::LumaPlane& luma);
  void keep(const Small& small);
  void forget_old();
  bool is_jump(const std::vector<float>& cells);
  recording::Picture picture_of(std::int64_t frame);
  recording::Picture strip(const Film& film, const PressTiming& press, const CameraInfo& camera);

  int step_ = 1;   ///< pixels of the film for one of the copy
  int width_ = 0;  ///< of the copies, stored orientation
  int height_ = 0;
  int shift_ = 0;  ///< bits that a deep code has beyond eight
  int rotation_deg_ = 0;
  std::size_t most_held_ = 64;
  std::int64_t keep_until_ = -1;
  std::deque<Small> held_;
  std::vector<std::uint8_t> spare_;
  std::deque<std::vector<float>> recent_;
  std::unique_ptr<std::FILE, Close> file_;
  std::map<std::int64_t, std::int64_t> place_of_;  ///< frame to its place in the file
  std::int64_t kept_ = 0;
};

}  // namespace thumblight::onset
