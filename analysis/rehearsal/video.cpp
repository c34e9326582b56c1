#include "analysis/rehearsal/video.hpp"

#include "analysis/rehearsal/frame_clock.hpp"
#include "analysis/rehearsal/painter.hpp"
#include "analysis/rehearsal/sound_track.hpp"
#include "analysis/rehearsal/video_writer.hpp"

namespace thumblight::rehearsal {

namespace {

VideoTruth describe(const Truth& truth, const Painter& painter, const VideoWriter& writer) {
  const CameraSettings& camera = truth.settings.camera;
  const Orientation orientation(camera);
  VideoTruth video;
  video.width = orientation.stored_width();
  video.height = orientation.stored_height();
  video.rate_hz = camera.nominal_hz * (1.0 + camera.rate_error);
  video.exposure_s = camera.exposure_share / camera.nominal_hz;
  video.readout_s = camera.readout_s;
  video.ticks_per_s = writer.ticks_per_s();
  video.upright = painter.upright_regions();
  video.stored = painter.stored_regions();
  video.sound_offset_s = SoundTrack::offset_s(truth.settings.file);
  return video;
}

}  // namespace

void film(Truth& truth, const std::filesystem::path& file) {
  const Settings& settings = truth.settings;
  const Orientation orientation(settings.camera);
  Painter painter(truth);
  VideoWriter writer(settings, orientation.stored_width(), orientation.stored_height(), file);
  VideoTruth video = describe(truth, painter, writer);
  SoundTrack sound(truth);
  FrameClock clock(settings.camera, settings.seed);
  const Planes* planes = nullptr;
  for (CameraFrame frame = clock.next(); frame.start_s < truth.end_s; frame = clock.next()) {
    if (frame.dropped) {
      video.dropped_s.push_back(frame.start_s);
      continue;
    }
    if (!frame.doubled || planes == nullptr) {
      planes = &painter.paint(frame);
    }
    const auto written = static_cast<std::int64_t>(video.frames.size());
    const std::int64_t ticks = stamp_ticks(settings, frame, written, video.ticks_per_s);
    video.frames.push_back({frame.start_s, ticks, frame.doubled});
    writer.write(*planes, ticks);
    if (writer.has_sound()) {
      writer.write_sound(sound.until(frame.start_s));
    }
  }
  if (writer.has_sound()) {
    writer.write_sound(sound.until(truth.end_s));
  }
  writer.finish();
  truth.video = std::move(video);
}

}  // namespace thumblight::rehearsal
