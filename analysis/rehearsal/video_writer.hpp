#pragma once

#include <filesystem>
#include <memory>
#include <vector>

#include "analysis/rehearsal/av_handles.hpp"
#include "analysis/rehearsal/painter.hpp"
#include "analysis/rehearsal/settings.hpp"
#include "analysis/rehearsal/sound_writer.hpp"

namespace thumblight::rehearsal {

/// A video file, as a camera would have written it: time stamps, colour tags, rotation and the
/// mark of slow motion included. Code values go in as they are; nothing rescales them.
class VideoWriter {
 public:
  VideoWriter(const Settings& settings, int width, int height, const std::filesystem::path& file);

  /// How many ticks the container gives a second.
  int ticks_per_s() const { return codec_->time_base.den / codec_->time_base.num; }
  void write(const Planes& planes, std::int64_t stamp_ticks);
  /// Samples of the sound track, in order. Only where the settings have one.
  void write_sound(const std::vector<double>& samples) { sound_->write(samples); }
  bool has_sound() const { return sound_ != nullptr; }
  void finish();

 private:
  void open_codec(const Settings& settings, int width, int height);
  void tag_colours(const CameraSettings& camera);
  void mark_rotation(int rotation_deg);
  void write_header(const Settings& settings);
  void copy_plane(const std::vector<std::uint16_t>& codes, int plane, int width, int height);

  std::string file_;
  OutputHandle output_;
  CodecHandle codec_;
  AVStream* stream_ = nullptr;
  FrameHandle frame_;
  std::unique_ptr<SoundWriter> sound_;
};

}  // namespace thumblight::rehearsal
