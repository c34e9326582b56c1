#pragma once

#include <filesystem>
#include <memory>
#include <vector>

#include "analysis/recording/frame_source.hpp"

namespace thumblight::recording {

class VideoReader;

/// One image of such a folder.
struct NumberedImage {
  std::int64_t number = 0;
  std::filesystem::path file;
};

/// The numbered images of a folder by their numbers. Throws `Error` where there are none.
std::vector<NumberedImage> list_images(const std::filesystem::path& folder);

/// A folder of numbered images, in the order of their numbers. One tick a number, so a number that
/// is missing shows as a dropped frame.
class ImageFolder : public FrameSource {
 public:
  explicit ImageFolder(const std::filesystem::path& folder);
  ~ImageFolder() override;

  const VideoInfo& info() const override { return info_; }
  bool next(Frame& frame) override;
  std::int64_t faults() const override { return 0; }

 private:
  std::vector<NumberedImage> images_;
  std::size_t at_ = 0;
  std::unique_ptr<VideoReader> reader_;
  VideoInfo info_;
};

}  // namespace thumblight::recording
