#include "analysis/rehearsal/video_writer.hpp"

extern "C" {
#include <libavutil/display.h>
#include <libavutil/opt.h>
}

#include <algorithm>
#include <cmath>

#include "analysis/rehearsal/settings_json.hpp"
#include "harness/session/error.hpp"

namespace thumblight::rehearsal {

namespace {

struct EncoderChoice {
  VideoCodec codec;
  const char* encoder;
  /// Private options, all but the quality.
  std::vector<std::pair<const char*, const char*>> options;
  const char* quality_option;  ///< null: the quantiser of the codec itself, or none
};

const std::vector<EncoderChoice>& encoder_choices() {
  static const std::vector<EncoderChoice> choices = {
      {VideoCodec::kH264, "libx264", {{"preset", "veryfast"}}, "crf"},
      {VideoCodec::kHevc,
       "libx265",
       {{"preset", "ultrafast"}, {"x265-params", "log-level=none"}},
       "crf"},
      {VideoCodec::kVp9, "libvpx-vp9", {{"deadline", "realtime"}, {"cpu-used", "8"}}, "crf"},
      {VideoCodec::kAv1, "libaom-av1", {{"usage", "realtime"}, {"cpu-used", "8"}}, "crf"},
      {VideoCodec::kMjpeg, "mjpeg", {}, nullptr},
      {VideoCodec::kFfv1, "ffv1", {}, nullptr}};
  return choices;
}

const EncoderChoice& choice_of(VideoCodec codec) {
  const auto& all = encoder_choices();
  return *std::find_if(all.begin(), all.end(),
                       [codec](const EncoderChoice& choice) { return choice.codec == codec; });
}

AVPixelFormat pixel_format(const Settings& settings) {
  if (settings.camera.bits == 10) {
    return AV_PIX_FMT_YUV420P10LE;
  }
  const bool jpeg = settings.file.codec == VideoCodec::kMjpeg;
  return jpeg && settings.camera.range == Range::kFull ? AV_PIX_FMT_YUVJ420P : AV_PIX_FMT_YUV420P;
}

AVColorTransferCharacteristic transfer_tag(Curve curve) {
  switch (curve) {
    case Curve::kSrgb:
      return AVCOL_TRC_IEC61966_2_1;
    case Curve::kHlg:
      return AVCOL_TRC_ARIB_STD_B67;
    case Curve::kPq:
      return AVCOL_TRC_SMPTE2084;
    case Curve::kLinear:
      return AVCOL_TRC_LINEAR;
    case Curve::kBt709:
      break;
  }
  return AVCOL_TRC_BT709;
}

/// Ticks of the stamps: AVI's are its images, all others take what they are given (Matroska then
/// makes milliseconds of it by itself).
AVRational time_base(const Settings& settings) {
  switch (settings.file.container) {
    case Container::kAvi: {
      const bool nominal = settings.file.stamps == Stamps::kNominal;
      const double rate = nominal ? settings.camera.nominal_hz : settings.file.playback_hz;
      return av_inv_q(av_d2q(rate, 100'000));
    }
    case Container::kMkv:
    case Container::kWebm:
      return {1, 1000};
    default:
      return {1, settings.file.ticks_per_s};
  }
}

void set_option(AVCodecContext& codec, const char* name, const std::string& value,
                const std::string& file) {
  expect(av_opt_set(codec.priv_data, name, value.c_str(), 0), file,
         std::string("setting the encoder's ") + name);
}

}  // namespace

VideoWriter::VideoWriter(const Settings& settings, int width, int height,
                         const std::filesystem::path& file)
    : file_(file.string()), output_(open_output(file_)), frame_(av_frame_alloc()) {
  stream_ = avformat_new_stream(output_.get(), nullptr);
  open_codec(settings, width, height);
  if (settings.camera.rotation_deg != 0) {
    mark_rotation(settings.camera.rotation_deg);
  }
  if (settings.file.sound != SoundCodec::kNone) {
    const bool aac = settings.file.sound == SoundCodec::kAac;
    const SoundFormat format{aac ? AV_CODEC_ID_AAC : AV_CODEC_ID_PCM_S16LE,
                             settings.file.sound_rate_hz, 1, 16};
    sound_ = std::make_unique<SoundWriter>(*output_, format, file_);
  }
  write_header(settings);
  frame_->format = codec_->pix_fmt;
  frame_->width = width;
  frame_->height = height;
  frame_->color_range = codec_->color_range;
  frame_->color_primaries = codec_->color_primaries;
  frame_->color_trc = codec_->color_trc;
  frame_->colorspace = codec_->colorspace;
  expect(av_frame_get_buffer(frame_.get(), 0), file_, "making room for a picture");
}

void VideoWriter::open_codec(const Settings& settings, int width, int height) {
  const EncoderChoice& choice = choice_of(settings.file.codec);
  const AVCodec* encoder = avcodec_find_encoder_by_name(choice.encoder);
  if (encoder == nullptr) {
    throw Error(file_ + ": FFmpeg here has no encoder for " + name_of(settings.file.codec) +
                "; choose another \"file.codec\"");
  }
  codec_.reset(avcodec_alloc_context3(encoder));
  codec_->width = width;
  codec_->height = height;
  codec_->pix_fmt = pixel_format(settings);
  codec_->time_base = time_base(settings);
  codec_->framerate = av_d2q(settings.camera.nominal_hz, 100'000);
  codec_->max_b_frames = settings.file.b_frames;
  codec_->gop_size = 60;
  codec_->bit_rate = 0;
  codec_->flags |= AV_CODEC_FLAG_BITEXACT;
  if ((output_->oformat->flags & AVFMT_GLOBALHEADER) != 0) {
    codec_->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
  }
  if (settings.file.codec == VideoCodec::kMjpeg) {
    codec_->flags |= AV_CODEC_FLAG_QSCALE;
    codec_->global_quality =
        static_cast<int>(FF_QP2LAMBDA * std::max(1.0, settings.file.quality / 6.0));
    codec_->strict_std_compliance = FF_COMPLIANCE_UNOFFICIAL;  // limited range
  }
  tag_colours(settings.camera);
  if (!settings.file.colour_tags) {
    codec_->color_primaries = AVCOL_PRI_UNSPECIFIED;
    codec_->color_trc = AVCOL_TRC_UNSPECIFIED;
    codec_->colorspace = AVCOL_SPC_UNSPECIFIED;
    codec_->color_range = AVCOL_RANGE_UNSPECIFIED;
  }
  for (const auto& [name, value] : choice.options) {
    set_option(*codec_, name, value, file_);
  }
  if (choice.quality_option != nullptr) {
    set_option(*codec_, choice.quality_option,
               std::to_string(static_cast<int>(std::lround(settings.file.quality))), file_);
  }
  expect(avcodec_open2(codec_.get(), encoder, nullptr), file_, "opening the video encoder");
  expect(avcodec_parameters_from_context(stream_->codecpar, codec_.get()), file_,
         "describing the video");
  stream_->time_base = codec_->time_base;
  stream_->avg_frame_rate = codec_->framerate;
}

void VideoWriter::tag_colours(const CameraSettings& camera) {
  const bool wide = camera.curve == Curve::kHlg || camera.curve == Curve::kPq;
  codec_->color_primaries = wide ? AVCOL_PRI_BT2020 : AVCOL_PRI_BT709;
  codec_->color_trc = transfer_tag(camera.curve);
  codec_->colorspace = wide ? AVCOL_SPC_BT2020_NCL : AVCOL_SPC_BT709;
  codec_->color_range = camera.range == Range::kFull ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
}

/// The matrix says how the stored picture is turned to stand upright.
void VideoWriter::mark_rotation(int rotation_deg) {
  std::uint8_t* data =
      av_stream_new_side_data(stream_, AV_PKT_DATA_DISPLAYMATRIX, sizeof(std::int32_t) * 9);
  if (data == nullptr) {
    throw Error(file_ + ": there is no memory left for the rotation");
  }
  av_display_rotation_set(reinterpret_cast<std::int32_t*>(data), rotation_deg);
}

void VideoWriter::write_header(const Settings& settings) {
  AVDictionary* options = nullptr;
  std::string flags;
  if (settings.file.container == Container::kMp4 || settings.file.container == Container::kMov) {
    av_dict_set_int(&options, "video_track_timescale", settings.file.ticks_per_s, 0);
  }
  if (settings.file.capture_rate_metadata) {
    av_dict_set(&options, "movflags", "use_metadata_tags", 0);
    av_dict_set(&output_->metadata, "com.android.capture.fps",
                std::to_string(settings.camera.nominal_hz).c_str(), 0);
  }
  const int code = avformat_write_header(output_.get(), &options);
  av_dict_free(&options);
  expect(code, file_, "starting the file (do container, codec and sound go together?)");
}

void VideoWriter::copy_plane(const std::vector<std::uint16_t>& codes, int plane, int width,
                             int height) {
  const bool wide = frame_->format == AV_PIX_FMT_YUV420P10LE;
  for (int row = 0; row < height; ++row) {
    const std::uint16_t* from = codes.data() + static_cast<std::ptrdiff_t>(row) * width;
    std::uint8_t* to =
        frame_->data[plane] + static_cast<std::ptrdiff_t>(row) * frame_->linesize[plane];
    if (wide) {
      std::copy_n(from, width, reinterpret_cast<std::uint16_t*>(to));
    } else {
      std::transform(from, from + width, to,
                     [](std::uint16_t code) { return static_cast<std::uint8_t>(code); });
    }
  }
}

void VideoWriter::write(const Planes& planes, std::int64_t stamp_ticks) {
  expect(av_frame_make_writable(frame_.get()), file_, "making room for a picture");
  copy_plane(planes.luma, 0, planes.width, planes.height);
  copy_plane(planes.cb, 1, planes.width / 2, planes.height / 2);
  copy_plane(planes.cr, 2, planes.width / 2, planes.height / 2);
  frame_->pts = stamp_ticks;
  encode_into(*output_, *stream_, *codec_, frame_.get(), file_);
}

void VideoWriter::finish() {
  encode_into(*output_, *stream_, *codec_, nullptr, file_);
  if (sound_ != nullptr) {
    sound_->finish();
  }
  expect(av_write_trailer(output_.get()), file_, "finishing the file");
}

}  // namespace thumblight::rehearsal
