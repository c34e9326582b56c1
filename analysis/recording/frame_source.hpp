#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "analysis/recording/edit_list.hpp"
#include "analysis/recording/luma_plane.hpp"

/// Pictures in the order of presentation, from a video or a folder of images.
namespace thumblight::recording {

/// One tick of the time stamps is `num / den` seconds.
struct TimeBase {
  std::int64_t num = 1;
  std::int64_t den = 1;
};

struct VideoInfo {
  std::string file;
  std::string kind;   ///< video or images
  std::string codec;  ///< FFmpeg's name for it
  int width = 0;      ///< of the stored picture, whose rows are the sensor's rows
  int height = 0;
  int rotation_deg = 0;  ///< clockwise turn for display: 0, 90, 180 or 270
  TimeBase time_base;
  Coding coding;
  std::optional<double> capture_hz;       ///< as the file's metadata states it
  std::string capture_key;                ///< the metadata key that stated it
  std::optional<double> marked_hz;        ///< frame rate as the container marks it
  std::optional<double> expected_frames;  ///< for progress; empty where the file does not say
  double start_s = 0;                     ///< stamp of the stream's first frame as marked
  std::optional<EditList> edits;          ///< of an MP4 or MOV file
  bool has_sound = false;
  bool has_stamps = true;  ///< false for images, whose times follow from a stated rate alone
};

struct Frame {
  LumaPlane luma;                      ///< valid as long as this frame or a copy of it lives
  std::int64_t stamp = 0;              ///< in ticks of the time base
  bool stamped = true;                 ///< false where the file gave no stamp and one was made up
  std::shared_ptr<const void> keeper;  ///< what owns the plane's memory
};

class FrameSource {
 public:
  virtual ~FrameSource() = default;
  virtual const VideoInfo& info() const = 0;
  /// The next frame, or false at the end.
  virtual bool next(Frame& frame) = 0;
  /// Faults met while decoding, so far.
  virtual std::int64_t faults() const = 0;
};

/// Opens a video file or a folder of numbered images, and reads it ahead in a thread. `threads` of
/// the decoder; 0 is one a core. Throws `Error` where nothing in it can be shown.
std::unique_ptr<FrameSource> open_frames(const std::filesystem::path& path, int threads);

}  // namespace thumblight::recording
