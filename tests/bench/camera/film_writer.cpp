#include "tests/bench/camera/film_writer.hpp"

extern "C" {
#include <libavutil/opt.h>
#include <libswscale/swscale.h>
}

#include <array>

#include "harness/session/error.hpp"

namespace thumblight::bench {
namespace {

using rehearsal::expect;

/// Quick, and without loss that an eye could see.
constexpr char kPreset[] = "ultrafast";
constexpr char kQuality[] = "16";

}  // namespace

void FilmWriter::FreeScaler::operator()(SwsContext* scaler) const {
  sws_freeContext(scaler);
}

FilmWriter::FilmWriter(const std::filesystem::path& file, Size size, double rate_hz)
    : file_(file.string()),
      size_(size),
      output_(rehearsal::open_output(file_)),
      frame_(av_frame_alloc()) {
  stream_ = avformat_new_stream(output_.get(), nullptr);
  open_codec(rate_hz);
  AVDictionary* options = nullptr;
  av_dict_set_int(&options, "video_track_timescale", kTicksPerS, 0);
  const int code = avformat_write_header(output_.get(), &options);
  av_dict_free(&options);
  expect(code, file_, "starting the film");
  open_frame();
}

FilmWriter::~FilmWriter() = default;

void FilmWriter::open_codec(double rate_hz) {
  const AVCodec* encoder = avcodec_find_encoder_by_name("libx264");
  if (encoder == nullptr) {
    throw Error(file_ + ": FFmpeg here has no encoder libx264; install one that has");
  }
  codec_.reset(avcodec_alloc_context3(encoder));
  codec_->width = size_.width;
  codec_->height = size_.height;
  codec_->pix_fmt = AV_PIX_FMT_YUV420P;
  codec_->time_base = {1, kTicksPerS};
  codec_->framerate = av_d2q(rate_hz, 100'000);
  codec_->thread_count = 1;
  codec_->color_primaries = AVCOL_PRI_BT709;
  codec_->color_trc = AVCOL_TRC_IEC61966_2_1;
  codec_->colorspace = AVCOL_SPC_BT709;
  codec_->color_range = AVCOL_RANGE_MPEG;
  codec_->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
  expect(av_opt_set(codec_->priv_data, "preset", kPreset, 0), file_, "choosing the preset");
  expect(av_opt_set(codec_->priv_data, "crf", kQuality, 0), file_, "choosing the quality");
  expect(avcodec_open2(codec_.get(), encoder, nullptr), file_, "opening the encoder");
  expect(avcodec_parameters_from_context(stream_->codecpar, codec_.get()), file_,
         "describing the film");
  stream_->time_base = codec_->time_base;
  stream_->avg_frame_rate = codec_->framerate;
}

void FilmWriter::open_frame() {
  frame_->format = codec_->pix_fmt;
  frame_->width = codec_->width;
  frame_->height = codec_->height;
  expect(av_frame_get_buffer(frame_.get(), 0), file_, "making room for a picture");
  scaler_.reset(sws_getContext(size_.width, size_.height, AV_PIX_FMT_BGR0, size_.width,
                               size_.height, codec_->pix_fmt, SWS_BILINEAR | SWS_ACCURATE_RND,
                               nullptr, nullptr, nullptr));
  if (scaler_ == nullptr) {
    throw Error(file_ + ": FFmpeg here cannot turn the screen's colours into a film's");
  }
  const int* matrix = sws_getCoefficients(SWS_CS_ITU709);
  sws_setColorspaceDetails(scaler_.get(), matrix, 1, matrix, 0, 0, 1 << 16, 1 << 16);
}

void FilmWriter::write(const std::vector<std::uint32_t>& pixels, std::int64_t stamp_ticks) {
  expect(av_frame_make_writable(frame_.get()), file_, "making room for a picture");
  const std::array<const std::uint8_t*, 1> planes = {
      reinterpret_cast<const std::uint8_t*>(pixels.data())};
  const std::array<int, 1> strides = {4 * size_.width};
  sws_scale(scaler_.get(), planes.data(), strides.data(), 0, size_.height, frame_->data,
            frame_->linesize);
  frame_->pts = stamp_ticks;
  rehearsal::encode_into(*output_, *stream_, *codec_, frame_.get(), file_);
}

void FilmWriter::finish() {
  rehearsal::encode_into(*output_, *stream_, *codec_, nullptr, file_);
  expect(av_write_trailer(output_.get()), file_, "finishing the film");
}

}  // namespace thumblight::bench
