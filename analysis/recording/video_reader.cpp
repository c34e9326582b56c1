#include "analysis/recording/video_reader.hpp"

#include <array>
#include <cmath>
#include <cstdlib>
#include <utility>

#include "harness/session/error.hpp"

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
}

namespace thumblight::recording {
namespace {

int clockwise_turn(const AVStream& stream) {
  const auto* matrix = reinterpret_cast<const std::int32_t*>(
      av_stream_get_side_data(&stream, AV_PKT_DATA_DISPLAYMATRIX, nullptr));
  if (matrix == nullptr) {
    return 0;
  }
  const double anticlockwise = av_display_rotation_get(matrix);
  if (!std::isfinite(anticlockwise)) {
    return 0;
  }
  const int quarters = static_cast<int>(std::lround(-anticlockwise / 90));
  return ((quarters % 4) + 4) % 4 * 90;
}

/// Keys under which cameras note the rate at which a slow-motion file was captured.
constexpr std::array<const char*, 4> kCaptureKeys = {"com.android.capture.fps", "capture_fps",
                                                     "capture_rate", "CaptureFrameRate"};

void read_capture_rate(const AVDictionary* metadata, VideoInfo& info) {
  for (const char* key : kCaptureKeys) {
    const AVDictionaryEntry* entry = av_dict_get(metadata, key, nullptr, 0);
    const double rate = entry != nullptr ? std::atof(entry->value) : 0;
    if (rate > 1 && rate < 1e6 && !info.capture_hz) {
      info.capture_hz = rate;
      info.capture_key = key;
    }
  }
}

std::optional<double> rate_of(AVRational rate) {
  if (rate.num <= 0 || rate.den <= 0) {
    return std::nullopt;
  }
  return av_q2d(rate);
}

std::optional<double> expected_frames(const AVFormatContext& input, const AVStream& stream) {
  if (stream.nb_frames > 0) {
    return static_cast<double>(stream.nb_frames);
  }
  const std::optional<double> rate = rate_of(stream.avg_frame_rate);
  if (input.duration > 0 && rate) {
    return static_cast<double>(input.duration) / AV_TIME_BASE * *rate;
  }
  return std::nullopt;
}

}  // namespace

VideoReader::VideoReader(const std::filesystem::path& file, int threads)
    : decoder_(file, threads), decoded_(av_frame_alloc()) {
  fill_info(file);
  if (!decoder_.next(*decoded_)) {
    throw Error(file.string() +
                ": not one picture of it can be decoded; the file may be cut "
                "short, copy it from the camera again");
  }
  holds_first_ = true;
  info_.coding = coding_of(*decoded_);
  info_.width = decoded_->width;
  info_.height = decoded_->height;
}

void VideoReader::fill_info(const std::filesystem::path& file) {
  const AVFormatContext& input = *decoder_.stream().input;
  const AVStream& stream = *input.streams[decoder_.stream().index];
  info_.file = file.filename().string();
  info_.kind = "video";
  info_.codec = avcodec_get_name(stream.codecpar->codec_id);
  info_.rotation_deg = clockwise_turn(stream);
  info_.time_base = {stream.time_base.num, stream.time_base.den};
  info_.marked_hz = rate_of(stream.avg_frame_rate);
  info_.expected_frames = expected_frames(input, stream);
  info_.has_sound = has_stream(input, false);
  if (stream.start_time != AV_NOPTS_VALUE) {
    info_.start_s = static_cast<double>(stream.start_time) * av_q2d(stream.time_base);
  }
  info_.edits = read_edit_list(file);
  read_capture_rate(stream.metadata, info_);
  read_capture_rate(input.metadata, info_);
}

void VideoReader::take_stamp(Frame& frame) {
  frame.stamped = decoded_->best_effort_timestamp != AV_NOPTS_VALUE;
  frame.stamp = frame.stamped ? decoded_->best_effort_timestamp : last_stamp_ + last_gap_;
  if (frames_ > 0 && frame.stamp > last_stamp_) {
    last_gap_ = frame.stamp - last_stamp_;
  }
  last_stamp_ = frame.stamp;
  ++frames_;
}

bool VideoReader::next(Frame& frame) {
  if (!holds_first_ && !decoder_.next(*decoded_)) {
    return false;
  }
  holds_first_ = false;
  if (decoded_->width != info_.width || decoded_->height != info_.height) {
    throw Error(info_.file + ": frame " + std::to_string(frames_) +
                " has another size than those before it; give a recording of one piece");
  }
  take_stamp(frame);
  FrameHandle taken(av_frame_alloc());
  av_frame_move_ref(taken.get(), decoded_.get());
  std::shared_ptr<const AVFrame> picture = luma_.with_luma(std::move(taken));
  frame.luma = luma_of(*picture);
  frame.keeper = std::move(picture);
  return true;
}

}  // namespace thumblight::recording
