#include "analysis/recording/placed_reader.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include "analysis/recording/image_folder.hpp"
#include "analysis/recording/luma_plane.hpp"
#include "analysis/recording/stream_decoder.hpp"
#include "harness/session/error.hpp"

extern "C" {
#include <libavutil/frame.h>
}

namespace thumblight::recording {
namespace {

void require_size(const AVFrame& picture, const VideoInfo& info, std::int64_t frame) {
  if (picture.width != info.width || picture.height != info.height) {
    throw Error(info.file + ": frame " + std::to_string(frame) +
                " has another size than those before it; give a recording of one piece");
  }
}

/// From a key on, frames are told by their stamps; from the beginning they are counted, which is
/// what their numbers mean. Wherever a key does not lead to the frames that the index promises, an
/// earlier one is taken, and at last the beginning.
class VideoPlaces : public PlacedReader {
 public:
  VideoPlaces(std::filesystem::path file, const FrameIndex& index, int threads)
      : file_(std::move(file)), index_(index), threads_(threads) {
    begin_anew();
  }

  std::int64_t at() const override { return at_; }

  std::int64_t cost_of(std::int64_t frame) const override {
    const std::int64_t from_key = frame - start_of(key_before(frame));
    return frame >= at_ ? std::min(frame - at_, from_key) : from_key;
  }

  void go_to(std::int64_t frame) override {
    const std::ptrdiff_t key = key_before(frame);
    if (frame < at_ || start_of(key) > at_) {
      begin_at(key);
    }
  }

  FrameHandle next() override {
    const std::int64_t due = at_;
    for (int losses = 0;;) {
      if (FrameHandle picture = take(); !picture) {
        fall_back(due, losses++);
      } else if (at_ > due) {
        return picture;
      }
    }
  }

 private:
  /// The last key from which `frame` can be reached; -1 is the beginning.
  std::ptrdiff_t key_before(std::int64_t frame) const {
    const auto after = std::upper_bound(
        index_.keys.begin(), index_.keys.end(), frame,
        [](std::int64_t wanted, const KeyPlace& key) { return wanted < key.frame; });
    return after - index_.keys.begin() - 1;
  }
  std::int64_t start_of(std::ptrdiff_t key) const {
    return key < 0 ? 0 : index_.keys[static_cast<std::size_t>(key)].frame;
  }
  std::int64_t expected_stamp() const {
    return at_ < index_.frames() ? index_.stamps[static_cast<std::size_t>(at_)] : INT64_MAX;
  }
  /// Whether a picture after a key is the one that is due, and whole.
  bool fits(const AVFrame& picture) const {
    return picture.best_effort_timestamp == expected_stamp() && picture.decode_error_flags == 0 &&
           (picture.flags & AV_FRAME_FLAG_CORRUPT) == 0 && looks_as_counted(picture);
  }
  bool looks_as_counted(const AVFrame& picture) const {
    const KeyPlace& key = index_.keys[static_cast<std::size_t>(key_)];
    if (at_ != key.frame || !key.print) {
      return true;
    }
    FrameHandle copy(av_frame_clone(&picture));
    LumaExtractor extractor;
    return copy && print_of(luma_of(*extractor.with_luma(std::move(copy)))) == *key.print;
  }
  /// Pictures before the one that is due belong to what lies before the key.
  bool comes_before(const AVFrame& picture) const {
    return picture.best_effort_timestamp < expected_stamp();
  }

  void begin_anew() {
    decoder_ = std::make_unique<StreamDecoder>(file_, threads_);
    key_ = -1;
    at_ = 0;
  }

  void begin_at(std::ptrdiff_t key) {
    while (key >= 0) {
      const KeyPlace& place = index_.keys[static_cast<std::size_t>(key)];
      if (decoder_->seek(place.seek_ticks)) {
        key_ = key;
        at_ = place.frame;
        return;
      }
      --key;
    }
    begin_anew();
  }

  /// Frame `at_`, with which that moves on; empty where the key did not lead to it.
  FrameHandle take() {
    FrameHandle picture(av_frame_alloc());
    while (decoder_->next(*picture)) {
      if (key_ < 0 || fits(*picture)) {
        require_size(*picture, index_.info, at_);
        ++at_;
        return picture;
      }
      if (!comes_before(*picture)) {
        return nullptr;
      }
    }
    return nullptr;
  }

  /// Takes an earlier key, and where that does not lead to frame `due` either, the beginning.
  void fall_back(std::int64_t due, int losses) {
    if (key_ < 0) {
      throw Error(index_.info.file + ": frame " + std::to_string(due) +
                  " cannot be decoded now; copy the file from the camera again");
    }
    begin_at(losses == 0 ? key_ - 1 : -1);
  }

  std::filesystem::path file_;
  const FrameIndex& index_;
  int threads_;
  std::unique_ptr<StreamDecoder> decoder_;
  std::ptrdiff_t key_ = -1;  ///< from which the reading came here
  std::int64_t at_ = 0;
};

class ImagePlaces : public PlacedReader {
 public:
  ImagePlaces(const std::filesystem::path& folder, const FrameIndex& index)
      : images_(list_images(folder)), index_(index) {}

  std::int64_t at() const override { return at_; }
  std::int64_t cost_of(std::int64_t) const override { return 0; }
  void go_to(std::int64_t frame) override { at_ = frame; }

  FrameHandle next() override {
    const std::filesystem::path& file = images_.at(static_cast<std::size_t>(at_)).file;
    FrameHandle picture(av_frame_alloc());
    if (!StreamDecoder(file, 1).next(*picture)) {
      throw Error(file.string() + ": this image cannot be decoded; copy it again");
    }
    require_size(*picture, index_.info, at_);
    ++at_;
    return picture;
  }

 private:
  std::vector<NumberedImage> images_;
  const FrameIndex& index_;
  std::int64_t at_ = 0;
};

}  // namespace

std::unique_ptr<PlacedReader> open_placed(const std::filesystem::path& path,
                                          const FrameIndex& index, int threads) {
  if (std::filesystem::is_directory(path)) {
    return std::make_unique<ImagePlaces>(path, index);
  }
  return std::make_unique<VideoPlaces>(path, index, threads);
}

}  // namespace thumblight::recording
