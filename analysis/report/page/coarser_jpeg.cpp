#include "analysis/report/page/coarser_jpeg.hpp"

#include <cstring>
#include <optional>
#include <utility>

extern "C" {
#include <libavcodec/avcodec.h>
}

#include "analysis/recording/ffmpeg_handles.hpp"

namespace thumblight::report {
namespace {

using recording::CodecHandle;
using recording::FrameHandle;
using recording::PacketHandle;

PacketHandle packet_of(const std::string& bytes) {
  PacketHandle packet(av_packet_alloc());
  if (packet && av_new_packet(packet.get(), static_cast<int>(bytes.size())) >= 0) {
    std::memcpy(packet->data, bytes.data(), bytes.size());
    return packet;
  }
  return nullptr;
}

/// Null where it is no picture.
FrameHandle decoded(const std::string& jpeg) {
  const AVCodec* decoder = avcodec_find_decoder(AV_CODEC_ID_MJPEG);
  CodecHandle codec(avcodec_alloc_context3(decoder));
  FrameHandle frame(av_frame_alloc());
  const PacketHandle packet = packet_of(jpeg);
  if (!codec || !frame || !packet) {
    return nullptr;
  }
  codec->thread_count = 1;
  const bool good = avcodec_open2(codec.get(), decoder, nullptr) >= 0 &&
                    avcodec_send_packet(codec.get(), packet.get()) >= 0 &&
                    avcodec_receive_frame(codec.get(), frame.get()) >= 0;
  return good ? std::move(frame) : nullptr;
}

CodecHandle encoder_for(const AVFrame& frame, int quantiser) {
  const AVCodec* encoder = avcodec_find_encoder(AV_CODEC_ID_MJPEG);
  CodecHandle codec(avcodec_alloc_context3(encoder));
  if (!codec) {
    return nullptr;
  }
  codec->width = frame.width;
  codec->height = frame.height;
  codec->pix_fmt = static_cast<AVPixelFormat>(frame.format);
  codec->color_range = AVCOL_RANGE_JPEG;
  codec->time_base = {1, 1};
  codec->thread_count = 1;
  codec->flags |= AV_CODEC_FLAG_QSCALE;
  codec->global_quality = quantiser * FF_QP2LAMBDA;
  return avcodec_open2(codec.get(), encoder, nullptr) >= 0 ? std::move(codec) : nullptr;
}

std::optional<std::string> encoded(AVFrame& frame, int quantiser) {
  const CodecHandle codec = encoder_for(frame, quantiser);
  const PacketHandle packet(av_packet_alloc());
  if (!codec || !packet) {
    return std::nullopt;
  }
  frame.pts = 0;
  frame.pict_type = AV_PICTURE_TYPE_NONE;
  frame.quality = quantiser * FF_QP2LAMBDA;
  if (avcodec_send_frame(codec.get(), &frame) < 0 ||
      avcodec_receive_packet(codec.get(), packet.get()) < 0) {
    return std::nullopt;
  }
  return std::string(packet->data, packet->data + packet->size);
}

}  // namespace

std::string coarser_jpeg(const std::string& jpeg, int quantiser) {
  const FrameHandle frame = decoded(jpeg);
  const std::optional<std::string> coarser = frame ? encoded(*frame, quantiser) : std::nullopt;
  return coarser && coarser->size() < jpeg.size() ? *coarser : jpeg;
}

}  // namespace thumblight::report
