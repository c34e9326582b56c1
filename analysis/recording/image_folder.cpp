#include "analysis/recording/image_folder.hpp"

#include <algorithm>
#include <array>
#include <cctype>

#include "analysis/recording/read_ahead.hpp"
#include "analysis/recording/video_reader.hpp"
#include "harness/session/error.hpp"

namespace thumblight::recording {
namespace {

bool is_image(const std::filesystem::path& file) {
  constexpr std::array<const char*, 8> kEndings = {".png", ".jpg", ".jpeg", ".pgm",
                                                   ".ppm", ".bmp", ".tif",  ".tiff"};
  std::string ending = file.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char letter) { return std::tolower(letter); });
  return std::find(kEndings.begin(), kEndings.end(), ending) != kEndings.end();
}

/// The last run of digits in the name; empty where it has none.
std::string number_in(const std::string& stem) {
  const auto is_digit = [](unsigned char letter) { return std::isdigit(letter) != 0; };
  const auto end = std::find_if(stem.rbegin(), stem.rend(), is_digit);
  const auto begin = std::find_if_not(end, stem.rend(), is_digit);
  return {begin.base(), end.base()};
}

}  // namespace

std::vector<NumberedImage> list_images(const std::filesystem::path& folder) {
  std::vector<NumberedImage> images;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const std::string digits = number_in(entry.path().stem().string());
    if (is_image(entry.path()) && !digits.empty() && digits.size() < 18) {
      images.push_back({std::stoll(digits), entry.path()});
    }
  }
  std::sort(images.begin(), images.end(),
            [](const NumberedImage& a, const NumberedImage& b) { return a.number < b.number; });
  if (images.empty()) {
    throw Error(folder.string() +
                ": the folder holds no numbered images (such as 000001.png); give a video or such "
                "a folder");
  }
  return images;
}

ImageFolder::ImageFolder(const std::filesystem::path& folder) : images_(list_images(folder)) {
  info_ = VideoReader(images_.front().file, 1).info();
  info_.file = folder.filename().string();
  info_.kind = "images";
  info_.has_stamps = false;
  info_.marked_hz.reset();
  info_.expected_frames = static_cast<double>(images_.size());
  info_.time_base = {1, 1};
  info_.start_s = 0;
}

ImageFolder::~ImageFolder() = default;

bool ImageFolder::next(Frame& frame) {
  if (at_ == images_.size()) {
    return false;
  }
  const NumberedImage& image = images_[at_++];
  reader_ = std::make_unique<VideoReader>(image.file, 1);
  const VideoInfo& found = reader_->info();
  if (found.width != info_.width || found.height != info_.height ||
      found.coding.bit_depth != info_.coding.bit_depth) {
    throw Error(image.file.string() + ": it has another size or depth than the first image");
  }
  reader_->next(frame);
  frame.stamp = image.number - images_.front().number;
  return true;
}

std::unique_ptr<FrameSource> open_frames(const std::filesystem::path& path, int threads) {
  if (std::filesystem::is_directory(path)) {
    return std::make_unique<ReadAhead>(std::make_unique<ImageFolder>(path));
  }
  return std::make_unique<ReadAhead>(std::make_unique<VideoReader>(path, threads));
}

}  // namespace thumblight::recording
