#include "analysis/recording/stream_decoder.hpp"

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
}

namespace thumblight::recording {

StreamDecoder::StreamDecoder(const std::filesystem::path& file, int threads)
    : stream_(open_stream(file, true, threads)), packet_(av_packet_alloc()) {}

bool StreamDecoder::feed() {
  while (true) {
    const int read = av_read_frame(stream_.input.get(), packet_.get());
    if (read < 0) {
      faults_ += read != AVERROR_EOF ? 1 : 0;
      flushed_ = true;
      return avcodec_send_packet(stream_.codec.get(), nullptr) >= 0;
    }
    const bool ours = packet_->stream_index == stream_.index;
    faults_ += ours && (packet_->flags & AV_PKT_FLAG_CORRUPT) != 0 ? 1 : 0;
    const int sent = ours ? avcodec_send_packet(stream_.codec.get(), packet_.get()) : 0;
    av_packet_unref(packet_.get());
    if (ours && sent >= 0) {
      return true;
    }
    faults_ += ours ? 1 : 0;
  }
}

bool StreamDecoder::next(AVFrame& picture) {
  while (true) {
    const int received = avcodec_receive_frame(stream_.codec.get(), &picture);
    if (received == 0) {
      return true;
    }
    if (received == AVERROR(EAGAIN) && !flushed_) {
      feed();
    } else if (received == AVERROR_EOF || flushed_) {
      return false;
    } else {
      ++faults_;
    }
  }
}

bool StreamDecoder::seek(std::int64_t ticks) {
  const int sought = av_seek_frame(stream_.input.get(), stream_.index, ticks, AVSEEK_FLAG_BACKWARD);
  avcodec_flush_buffers(stream_.codec.get());
  flushed_ = false;
  return sought >= 0;
}

}  // namespace thumblight::recording
