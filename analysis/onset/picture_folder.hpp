#pragma once

#include <filesystem>
#include <string>

#include "analysis/recording/picture.hpp"

namespace thumblight::onset {

/// Writes the pictures of one recording beside each other and puts them in their places at the end,
/// so that a full disk leaves those of an earlier run as they were and nothing half-written.
class PictureFolder {
 public:
  /// The pictures will be `regions.png` and the folder `evidence` in `folder`. Throws `Error`.
  explicit PictureFolder(std::filesystem::path folder);
  /// Without `finish`, nothing stays.
  ~PictureFolder();
  PictureFolder(const PictureFolder&) = delete;
  PictureFolder& operator=(const PictureFolder&) = delete;

  void write_map(const recording::Picture& picture);
  void write_strip(const recording::Picture& picture, const std::string& name);
  /// Takes the place of what an earlier run has left.
  void finish();

 private:
  std::filesystem::path folder_;
  std::filesystem::path unfinished_;
};

}  // namespace thumblight::onset
