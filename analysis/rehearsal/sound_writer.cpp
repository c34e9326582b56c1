#include "analysis/rehearsal/sound_writer.hpp"

#include <algorithm>
#include <cmath>

#include "harness/session/error.hpp"

namespace thumblight::rehearsal {

namespace {

constexpr int kBlock = 4096;  ///< samples a packet, where the codec does not ask for a number

AVSampleFormat sample_format(const SoundFormat& format) {
  switch (format.codec) {
    case AV_CODEC_ID_AAC:
      return AV_SAMPLE_FMT_FLTP;
    case AV_CODEC_ID_PCM_S24LE:
      return AV_SAMPLE_FMT_S32;
    case AV_CODEC_ID_FLAC:
      return format.bits > 16 ? AV_SAMPLE_FMT_S32 : AV_SAMPLE_FMT_S16;
    default:
      return AV_SAMPLE_FMT_S16;
  }
}

}  // namespace

SoundWriter::SoundWriter(AVFormatContext& output, const SoundFormat& format, std::string file)
    : output_(output),
      file_(std::move(file)),
      channels_(format.channels),
      stream_(avformat_new_stream(&output, nullptr)),
      frame_(av_frame_alloc()) {
  const AVCodec* encoder = avcodec_find_encoder(format.codec);
  if (encoder == nullptr) {
    throw Error(file_ + ": FFmpeg here has no encoder for this sound; choose another");
  }
  codec_.reset(avcodec_alloc_context3(encoder));
  codec_->sample_rate = format.rate_hz;
  codec_->sample_fmt = sample_format(format);
  codec_->time_base = {1, format.rate_hz};
  codec_->bits_per_raw_sample = format.bits;
  codec_->bit_rate = format.codec == AV_CODEC_ID_AAC ? 128'000 : 0;
  codec_->flags |= AV_CODEC_FLAG_BITEXACT;
  av_channel_layout_default(&codec_->ch_layout, channels_);
  if ((output.oformat->flags & AVFMT_GLOBALHEADER) != 0) {
    codec_->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
  }
  expect(avcodec_open2(codec_.get(), encoder, nullptr), file_, "opening the sound encoder");
  expect(avcodec_parameters_from_context(stream_->codecpar, codec_.get()), file_,
         "describing the sound");
  stream_->time_base = codec_->time_base;
  frame_->nb_samples = codec_->frame_size > 0 ? codec_->frame_size : kBlock;
  frame_->format = codec_->sample_fmt;
  frame_->sample_rate = format.rate_hz;
  expect(av_channel_layout_copy(&frame_->ch_layout, &codec_->ch_layout), file_, "sound channels");
  expect(av_frame_get_buffer(frame_.get(), 0), file_, "making room for sound");
}

void SoundWriter::store(std::size_t frame, int channel, double value) {
  const double kept = std::clamp(value, -1.0, 1.0);
  const std::size_t at = frame * channels_ + channel;
  if (codec_->sample_fmt == AV_SAMPLE_FMT_FLTP) {
    reinterpret_cast<float*>(frame_->data[channel])[frame] = static_cast<float>(kept);
  } else if (codec_->sample_fmt == AV_SAMPLE_FMT_S32) {
    const auto whole = static_cast<std::int32_t>(std::lround(kept * 8388607.0));
    reinterpret_cast<std::int32_t*>(frame_->data[0])[at] = whole * 256;
  } else {
    reinterpret_cast<std::int16_t*>(frame_->data[0])[at] =
        static_cast<std::int16_t>(std::lround(kept * 32767.0));
  }
}

void SoundWriter::flush(std::size_t frames) {
  expect(av_frame_make_writable(frame_.get()), file_, "making room for sound");
  frame_->nb_samples = static_cast<int>(frames);
  frame_->pts = written_;
  for (std::size_t k = 0; k < frames; ++k) {
    for (int channel = 0; channel < channels_; ++channel) {
      store(k, channel, pending_[k * channels_ + channel]);
    }
  }
  written_ += static_cast<std::int64_t>(frames);
  pending_.erase(pending_.begin(),
                 pending_.begin() + static_cast<std::ptrdiff_t>(frames * channels_));
  encode_into(output_, *stream_, *codec_, frame_.get(), file_);
}

void SoundWriter::write(const std::vector<double>& samples) {
  pending_.insert(pending_.end(), samples.begin(), samples.end());
  const auto block = static_cast<std::size_t>(codec_->frame_size > 0 ? codec_->frame_size : kBlock);
  while (pending_.size() >= block * channels_) {
    flush(block);
  }
}

void SoundWriter::finish() {
  if (!pending_.empty()) {
    flush(pending_.size() / channels_);
  }
  encode_into(output_, *stream_, *codec_, nullptr, file_);
}

}  // namespace thumblight::rehearsal
