#include "analysis/recording/sound_reader.hpp"

#include <cmath>

#include "harness/session/error.hpp"

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libswresample/swresample.h>
}

namespace thumblight::recording {

SoundReader::SoundReader(const std::filesystem::path& file)
    : stream_(open_stream(file, false, 1)), decoded_(av_frame_alloc()), packet_(av_packet_alloc()) {
  const AVCodecContext& codec = *stream_.codec;
  channels_ = codec.ch_layout.nb_channels;
  rate_hz_ = codec.sample_rate;
  if (channels_ < 1 || codec.sample_rate < 1) {
    throw Error(file.string() + ": its sound has no channel or no sample rate");
  }
  const AVStream& stream = *stream_.input->streams[stream_.index];
  if (stream.duration > 0) {
    expected_samples_ = static_cast<double>(stream.duration) * av_q2d(stream.time_base) * rate_hz_;
  }
  if (stream.start_time != AV_NOPTS_VALUE) {
    next_start_s_ = static_cast<double>(stream.start_time) * av_q2d(stream.time_base);
  }
}

bool SoundReader::decode() {
  while (true) {
    const int received = avcodec_receive_frame(stream_.codec.get(), decoded_.get());
    if (received == 0) {
      return true;
    }
    if (received == AVERROR_EOF || flushed_) {
      return false;
    }
    if (received != AVERROR(EAGAIN)) {
      continue;
    }
    if (av_read_frame(stream_.input.get(), packet_.get()) < 0) {
      flushed_ = true;
      avcodec_send_packet(stream_.codec.get(), nullptr);
      continue;
    }
    if (packet_->stream_index == stream_.index) {
      avcodec_send_packet(stream_.codec.get(), packet_.get());
    }
    av_packet_unref(packet_.get());
  }
}

void SoundReader::convert(Block& block) {
  if (!converter_) {
    SwrContext* made = nullptr;
    swr_alloc_set_opts2(&made, &decoded_->ch_layout, AV_SAMPLE_FMT_FLT, decoded_->sample_rate,
                        &decoded_->ch_layout, static_cast<AVSampleFormat>(decoded_->format),
                        decoded_->sample_rate, 0, nullptr);
    converter_.reset(made);
    if (made == nullptr || swr_init(made) < 0) {
      throw Error("the sound's sample format cannot be read");
    }
  }
  if (decoded_->ch_layout.nb_channels != channels_) {
    throw Error("the sound changes its number of channels on the way");
  }
  block.samples.resize(static_cast<std::size_t>(decoded_->nb_samples) *
                       static_cast<std::size_t>(channels_));
  auto* out = reinterpret_cast<std::uint8_t*>(block.samples.data());
  const auto** in = const_cast<const std::uint8_t**>(decoded_->extended_data);
  const int converted =
      swr_convert(converter_.get(), &out, decoded_->nb_samples, in, decoded_->nb_samples);
  if (converted != decoded_->nb_samples) {
    throw Error("the sound's samples cannot be converted");
  }
  for (float& sample : block.samples) {
    sample = std::isfinite(sample) ? sample : 0.0F;
  }
}

bool SoundReader::next(Block& block) {
  if (!decode()) {
    return false;
  }
  convert(block);
  const AVRational base = stream_.input->streams[stream_.index]->time_base;
  // The stamp counts where it leaps (a gap in the track); within a tick the sample count is truer.
  if (decoded_->pts != AV_NOPTS_VALUE) {
    const double stamped_s = static_cast<double>(decoded_->pts) * av_q2d(base);
    if (std::abs(stamped_s - next_start_s_) > 1.5 * av_q2d(base) + 1.5 / rate_hz_) {
      next_start_s_ = stamped_s;
    }
  }
  block.start_s = next_start_s_;
  block.first = done_;
  done_ += decoded_->nb_samples;
  next_start_s_ += decoded_->nb_samples / rate_hz_;
  return true;
}

}  // namespace thumblight::recording
